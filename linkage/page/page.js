/* What the page adds to the viewer: its data, and a button for light and dark. */
(() => {
  const root = document.getElementById("viewer");
  const data = JSON.parse(document.getElementById("data").textContent);
  window.tightspot = tightspotViewer(root, data);

  const theme = document.getElementById("theme");
  const dark = () => (document.documentElement.dataset.theme
    ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light")) === "dark";
  const name = () => { theme.textContent = dark() ? "Light" : "Dark"; };
  theme.addEventListener("click", () => {
    document.documentElement.dataset.theme = dark() ? "light" : "dark";
    name();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", name);
  theme.hidden = false;
  name();
})();
