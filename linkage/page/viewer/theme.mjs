/** A button for light and dark. */

import { button } from "./dom.mjs";

export function themeButton() {
  const root = document.documentElement;
  const system = matchMedia("(prefers-color-scheme: dark)");
  const dark = () => (root.dataset.theme ?? (system.matches ? "dark" : "light")) === "dark";
  const element = button("", () => {
    root.dataset.theme = dark() ? "light" : "dark";
    name();
  }, { id: "theme", class: "controls" });
  const name = () => { element.textContent = dark() ? "Light" : "Dark"; };
  system.addEventListener("change", name);
  name();
  return element;
}
