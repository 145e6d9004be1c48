/** Open the page to work at. */
export function openBench() {
  const first = document.getElementById("first");
  const bench = document.getElementById("bench");
  if (first && bench) bench.textContent = first.textContent;
}
