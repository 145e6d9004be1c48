import js from "@eslint/js";
import globals from "globals";

export default [
  js.configs.recommended,
  {
    rules: { eqeqeq: "error", "no-var": "error", "prefer-const": "error", "max-len": ["error", 100] },
  },
  { files: ["linkage/**"], languageOptions: { globals: globals.browser } },
  { files: ["tests/**"], languageOptions: { globals: globals.node } },
];
