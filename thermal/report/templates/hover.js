// Reads out the hour under the pointer in the charts of the coldest winter and of its week. Arrow keys move by an hour,
// with Shift by a day. The figures are those of the page itself: <script class="winter-hours"> holds them as JSON, for
// each line its first value and then its change from hour to hour.
"use strict";
(() => {
  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
  const source = document.querySelector("script.winter-hours");
  if (!source) return;

  /**
   * @typedef {object} Winter
   * @property {string} start first hour, ISO 8601, local standard time
   * @property {string} units "metric", "us" or "imperial"
   * @property {string} unit unit of temperature
   * @property {string[]} names names of the lines of temperature
   * @property {number[][]} changes a row for each line in tenths of a degree, the last for the heater in tens of watts
   */
  /** @type {Winter} */
  const winter = JSON.parse(source.textContent || "");

  /**
   * @param {number[]} changes first value, then changes
   * @returns {number[]} values
   */
  const summed = (changes) => {
    let value = 0;
    return changes.map((change) => (value += change));
  };
  const rows = winter.changes.map(summed);

  /**
   * @param {number} value temperature in tenths of a degree
   * @returns {string} with a minus sign and the unit
   */
  const degrees = (value) => `${(value / 10).toFixed(1).replace("-", "−")} ${winter.unit}`;

  /**
   * @param {number} hour hour of the winter
   * @returns {string} date in the reader's order, and time
   */
  const moment = (hour) => {
    const time = new Date(Date.parse(`${winter.start}Z`) + hour * 3600000);
    const day = time.getUTCDate(), month = MONTHS[time.getUTCMonth()], year = time.getUTCFullYear();
    const clock = `${String(time.getUTCHours()).padStart(2, "0")}:00`;
    return winter.units === "us" ? `${month} ${day}, ${year} ${clock}` : `${day} ${month} ${year} ${clock}`;
  };

  /**
   * @param {number} hour hour of the winter
   * @returns {[string, string][]} name and figure of everything that is read out
   */
  const figures = (hour) => {
    /** @type {[string, string][]} */
    const pairs = winter.names.map((name, line) => [name, degrees(rows[line][hour])]);
    const watts = (rows[rows.length - 1][hour] * 10).toLocaleString("en-US");
    return [["time", moment(hour)], ...pairs, ["heater", `${watts} W`]];
  };

  /**
   * @param {SVGSVGElement} drawing a chart with data-hours and data-x
   * @param {HTMLElement} readOut where to write
   */
  const attach = (drawing, readOut) => {
    const [first, end] = (drawing.dataset.hours || "").split(" ").map(Number);
    const [left, atLeft, right, atRight] = (drawing.dataset.x || "").split(" ").map(Number);
    const cursor = /** @type {SVGElement} */ (drawing.querySelector(".cursor"));
    let shown = Math.floor((first + end) / 2);

    /** @param {number} hour */
    const show = (hour) => {
      shown = Math.min(Math.max(Math.round(hour), first), end - 1);
      const x = left + ((shown - atLeft) / (atRight - atLeft)) * (right - left);
      cursor.setAttribute("transform", `translate(${x - left} 0)`);
      cursor.style.visibility = "visible";
      readOut.replaceChildren(
        ...figures(shown).flatMap(([name, figure]) => {
          const value = document.createElement("b");
          value.textContent = figure;
          return name === "time" ? [value, " "] : [`· ${name} `, value, " "];
        }),
      );
    };
    /** @param {PointerEvent} event */
    const point = (event) => {
      const matrix = drawing.getScreenCTM();
      if (!matrix) return;
      const x = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse()).x;
      if (x >= left - 4 && x <= right + 4) show(atLeft + ((x - left) / (right - left)) * (atRight - atLeft));
    };
    drawing.addEventListener("pointermove", point);
    drawing.addEventListener("pointerdown", point); // a finger's tap
    drawing.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (!step) return;
      event.preventDefault();
      show(shown + step * (event.shiftKey ? 24 : 1));
    });
    drawing.setAttribute("tabindex", "0");
  };

  document.querySelectorAll(".chart").forEach((chart) => {
    const readOut = /** @type {HTMLElement | null} */ (chart.querySelector(".read-out"));
    if (!readOut) return;
    readOut.textContent = "Point at the chart, or use the arrow keys, to read any hour.";
    readOut.hidden = false;
    chart.querySelectorAll("svg").forEach((drawing) => attach(drawing, readOut));
  });
})();
