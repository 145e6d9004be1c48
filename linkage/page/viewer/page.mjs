/** What the owner's page adds to the viewer: its data, and a button for light and dark. */

import { themeButton } from "./theme.mjs";
import { tightspotViewer } from "./viewer.mjs";

/** @param {string} id */
const there = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

export function openPage() {
  tightspotViewer(there("viewer"), JSON.parse(there("data").textContent ?? ""));
  there("theme").replaceWith(themeButton());
}
