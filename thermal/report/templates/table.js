// Sorts the table by a click on a heading, and shows the rows that hold a text.
const table = document.getElementById("answers"), body = table.tBodies[0];
const value = (row, column) => row.cells[column].dataset.order;
const compare = (a, b) => (isNaN(a) || isNaN(b) || a === "" || b === "" ? a.localeCompare(b) : a - b);
for (const button of table.tHead.querySelectorAll("button")) {
  button.addEventListener("click", () => {
    const head = button.parentElement, column = head.cellIndex;
    const down = head.getAttribute("aria-sort") === "ascending";
    for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    const rows = [...body.rows].sort((a, b) => compare(value(a, column), value(b, column)));
    body.append(...(down ? rows.reverse() : rows));
  });
}
document.getElementById("wanted").addEventListener("input", (event) => {
  const wanted = event.target.value.toLowerCase();
  for (const row of body.rows) row.hidden = !row.textContent.toLowerCase().includes(wanted);
});
