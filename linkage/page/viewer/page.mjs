/** What the owner's page adds to the viewer: its data, and a button for light and dark. */

import { tightspotViewer } from "./viewer.mjs";

/** @param {string} id */
const there = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

export function openPage() {
  tightspotViewer(there("viewer"), JSON.parse(there("data").textContent ?? ""));
  const root = document.documentElement;
  const theme = there("theme");
  const system = matchMedia("(prefers-color-scheme: dark)");
  const dark = () => (root.dataset.theme ?? (system.matches ? "dark" : "light")) === "dark";
  const name = () => { theme.textContent = dark() ? "Light" : "Dark"; };
  theme.addEventListener("click", () => {
    root.dataset.theme = dark() ? "light" : "dark";
    name();
  });
  system.addEventListener("change", name);
  theme.hidden = false;
  name();
}
