// @ts-check
// Live choices of a report: measures, minimum water temperature, price and budget. All figures come from the JSON beside
// this script (thermal/report/choices.py), none from anywhere else; every text is set as text, never as HTML.
(() => {
  "use strict";

  /**
   * Figures of many designs; byMonth holds the months of the first design, then those of the second, and so on.
   * @typedef {{needed: (number|null)[], kwh: number[], cost: number[], outage: (number|null)[], mould: (number|null)[],
   *   byMonth: number[]}} Columns
   * @typedef {{at: number[], needed: number[][], kwh: number[][], cost: number[][]}} Effects
   * @typedef {{celsius: number[], labels: string[], shown: number[], notes: string[], own: number, designs: Columns,
   *   effects: Effects}} Minima
   * @typedef {{currency: string, span: string, complete: boolean, price: number, charge: number, simple: boolean,
   *   months: string[], measures: [string, number][], masks: number[], packages: Columns, front: number[],
   *   minima: Minima}} Data
   * @typedef {{mask: number, minimum: number, price: number, budget: number}} Choice
   * @typedef {{needed: number|null, kwh: number, cost: number, outage: number|null|undefined,
   *   mould: number|null|undefined, months: number[]|undefined, about: boolean}} Figures undefined: not calculated
   */

  const box = document.getElementById("choices");
  const source = document.getElementById("choice-data");
  if (!box || !source) return;

  /** @type {Data} */
  const data = JSON.parse(source.textContent || "");
  const { minima, packages } = data;
  const everything = 2 ** data.measures.length - 1;
  /** @type {number[]} */
  const numberOf = [];
  data.masks.forEach((mask, number) => { numberOf[mask] = number; });
  const ticks = /** @type {HTMLInputElement[]} */ ([...box.querySelectorAll("[data-measure]")]);
  const slider = input("choice-minimum"), priceField = input("choice-price"), budgetField = input("choice-budget");
  /** @type {Choice} */
  const plan = { mask: 0, minimum: minima.own, price: data.price, budget: Infinity };
  /** @type {Choice} */
  let choice = { ...plan };
  let moved = ""; // why the minimum is not the one that was asked for

  /** @param {string} id @returns {HTMLInputElement} */
  function input(id) { return /** @type {HTMLInputElement} */ (document.getElementById(id)); }

  /** @param {string} id @param {string} text */
  function say(id, text) {
    const element = document.getElementById(id);
    if (element && element.textContent !== text) element.textContent = text;
  }

  // ---- Texts, as thermal/report/table_data.py makes them.

  /** @param {number} value @param {number} [decimals] */
  function fixed(value, decimals = 0) {
    return value.toLocaleString("en-US", { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
  }

  /** @param {number} value */
  function money(value) { return fixed(value, Math.abs(value) >= 19.995 ? 0 : 2); }

  /** @param {number} value */
  function priced(value) {
    const sign = [...data.currency].length === 1 && !/\p{L}/u.test(data.currency);
    return sign ? `${value < 0 ? "-" : ""}${data.currency}${money(Math.abs(value))}` : `${money(value)} ${data.currency}`;
  }

  /** @param {number|null} value */
  function watts(value) { return value === null ? "none is enough" : fixed(Math.ceil(value / 10 - 1e-6) * 10); }

  /** @param {number|null|undefined} value */
  function hours(value) {
    if (value === undefined) return "not calculated";
    return value === null ? "over a week" : fixed(value, value < 10 ? 1 : 0);
  }

  /** @param {number} mask */
  function lettersOf(mask) {
    return data.measures.filter((_, i) => mask & (1 << i)).map(([letter]) => letter).join("") || "no measures";
  }

  /** @param {number} mask */
  function priceOf(mask) { return data.measures.reduce((sum, [, cost], i) => sum + (mask & (1 << i) ? cost : 0), 0); }

  // ---- Figures. A minimum with measures is estimated where the page says "about", and not given elsewhere.

  /** @param {number} mask @returns {number[]} Minima that can be chosen with these measures. */
  function choosable(mask) {
    if (!mask) return minima.celsius.map((_, i) => i);
    return [minima.own, ...minima.effects.at].sort((a, b) => a - b);
  }

  /** @param {number} kwh @param {number} cost @param {number} price Cost of a winter at another price. */
  function billed(kwh, cost, price) {
    return data.simple ? cost + kwh * (price - data.price) : cost * (price / data.price);
  }

  /** @param {Columns} columns @param {number} number @param {number} price @returns {Figures} */
  function exact(columns, number, price) {
    const first = number * data.months.length;
    const months = columns.byMonth.slice(first, first + data.months.length)
      .map((value) => (data.simple ? value * price + data.charge : value * (price / data.price)));
    const kwh = columns.kwh[number];
    return { needed: columns.needed[number], kwh, cost: billed(kwh, columns.cost[number], price),
      outage: columns.outage[number], mould: columns.mould[number], months, about: false };
  }

  /** @param {number} mask @param {number} minimum @param {"needed"|"kwh"|"cost"} figure @returns {number|null} */
  function estimated(mask, minimum, figure) {
    const base = packages[figure][0], there = minima.designs[figure][minimum];
    const here = packages[figure][numberOf[mask]], all = packages[figure][numberOf[everything]];
    if (!base || !there || !here || !all) return null;
    const logarithms = minima.effects[figure][minima.effects.at.indexOf(minimum)];
    const share = all === base ? 0 : Math.log(here / base) / Math.log(all / base);
    let sum = logarithms[data.measures.length] * Math.min(Math.max(share, 0), 1) ** 2;
    data.measures.forEach((_, i) => { if (mask & (1 << i)) sum += logarithms[i]; });
    return here * (there / base) * Math.exp(sum);
  }

  /** @param {Choice} of @returns {Figures} */
  function figuresOf({ mask, minimum, price }) {
    if (minimum === minima.own) return exact(packages, numberOf[mask], price);
    if (!mask) return exact(minima.designs, minimum, price);
    const kwh = estimated(mask, minimum, "kwh") || 0, cost = estimated(mask, minimum, "cost") || 0;
    return { needed: estimated(mask, minimum, "needed"), kwh, cost: billed(kwh, cost, price),
      outage: undefined, mould: undefined, months: undefined, about: true };
  }

  /** @param {number} mask @param {number} saves Saving in a winter. */
  function payback(mask, saves) {
    const cost = priceOf(mask);
    return data.complete && cost > 0 && saves > 0 ? `${fixed(cost / saves, 1)} winters` : "—";
  }

  // ---- Showing.

  function show() {
    const { mask, minimum, price } = choice;
    const now = figuresOf(choice), before = figuresOf({ ...plan, price });
    const about = now.about ? "about " : "";
    const saves = figuresOf({ ...choice, mask: 0 }).cost - now.cost;
    /** @type {Record<string, [string, string]>} */
    const tiles = {
      needed: [about + watts(now.needed) + (now.needed === null ? "" : " W"), watts(before.needed)],
      kwh: [about + fixed(now.kwh), fixed(before.kwh)],
      cost: [about + money(now.cost), money(before.cost)],
      payback: [now.about ? "not calculated" : payback(mask, saves), ""],
      outage: [hours(now.outage), hours(before.outage)],
      mould: [now.mould === undefined ? "not calculated" : fixed(now.mould || 0), fixed(before.mould || 0)],
    };
    for (const [key, [text, was]] of Object.entries(tiles)) {
      const value = box.querySelector(`[data-figure=${key}]`), band = box.querySelector(`[data-plan=${key}]`);
      if (value) value.textContent = text;
      if (band) band.textContent = was && `plan: ${was}`;
    }
    const what = mask ? `${lettersOf(mask)}, ${priced(priceOf(mask))} to buy` : "No measures";
    const heater = now.needed === null ? "no heater is enough" : `heater needed ${tiles.needed[0]}`;
    say("choice-result", `${what}, at ${minima.labels[minimum]}: ${heater}, heating ${tiles.kwh[0]} kWh,`
      + ` ${about}${priced(now.cost)} ${data.span}.`);
    say("choice-warning", minima.notes[minimum]);
    showControls();
    showMonths(now.months);
    showBest();
    mark();
  }

  function showControls() {
    const { mask, minimum, price, budget } = choice, allowed = choosable(mask), label = minima.labels;
    ticks.forEach((tick, i) => { tick.checked = (mask & (1 << i)) !== 0; });
    slider.max = String(allowed.length - 1);
    slider.value = String(allowed.indexOf(minimum));
    slider.disabled = allowed.length < 2;
    slider.setAttribute("aria-valuetext", label[minimum]);
    say("choice-degrees", label[minimum]);
    const range = `With measures it can be set from ${label[allowed[0]]} to ${label[allowed[allowed.length - 1]]}. Figures are`
      + " then estimates, within 3 %. Beyond that no combination of measures and minimum was calculated.";
    const none = "With measures it cannot be changed: their effects depend on the minimum by more than 3 %, and such"
      + " combinations were not calculated.";
    say("choice-range", mask ? moved + (slider.disabled ? none : range) : "");
    if (document.activeElement !== priceField) priceField.value = String(price);
    if (document.activeElement !== budgetField) budgetField.value = budget === Infinity ? "" : String(budget);
    priceField.disabled = !data.simple && data.price === 0;
  }

  /** @param {number[]|undefined} months */
  function showMonths(months) {
    const table = /** @type {HTMLTableElement} */ (document.getElementById("choice-months"));
    say("choice-no-months", months ? "" : "Not calculated for measures at another minimum.");
    table.hidden = !months;
    const most = Math.max(0.01, ...(months || []));
    table.tBodies[0].replaceChildren(...(months || []).map((value, i) => {
      const row = rowOf([data.months[i], money(value), ""]), bar = document.createElement("span");
      bar.className = "bar";
      bar.style.width = `${Math.max(0, (100 * value) / most)}%`;
      row.cells[2].append(bar);
      return row;
    }));
  }

  function showBest() {
    const table = /** @type {HTMLTableElement|null} */ (document.getElementById("choice-best"));
    if (!table) return;
    const best = data.front.filter((number) => priceOf(data.masks[number]) <= choice.budget)
      .map((number) => ({ number, mask: data.masks[number], ...exact(packages, number, choice.price) }))
      .sort((a, b) => a.cost - b.cost).slice(0, 8);
    say("choice-best-note", best.length ? `At ${minima.labels[minima.own]}, cheapest to run first; no other set is cheaper both`
      + " to buy and to run." : "No set of measures keeps the minimum within this budget.");
    table.tBodies[0].replaceChildren(...best.map(({ number, mask, needed, cost }) => {
      const row = rowOf([lettersOf(mask), money(priceOf(mask)), watts(needed), money(cost), ""]);
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = "choose";
      button.setAttribute("aria-label", `choose ${lettersOf(mask)}`);
      button.addEventListener("click", () => { change({ mask, minimum: minima.own }); focusOn(number); });
      row.cells[4].append(button);
      row.dataset.number = String(number);
      row.className = mask === choice.mask ? "chosen" : "";
      return row;
    }));
  }

  /** @param {number} number The new row's button has the focus that the old one had. */
  function focusOn(number) {
    const button = box.querySelector(`#choice-best [data-number="${number}"] button`);
    if (button instanceof HTMLElement) button.focus();
  }

  /** @param {string[]} texts */
  function rowOf(texts) {
    const row = document.createElement("tr");
    texts.forEach((text, i) => {
      const cell = row.insertCell();
      cell.textContent = text;
      if (!i) cell.className = "w";
    });
    return row;
  }

  /** Mark the chosen package and minimum in the charts. */
  function mark() {
    for (const old of document.querySelectorAll(".chosen[data-package]")) old.classList.remove("chosen");
    const number = numberOf[choice.mask];
    for (const point of document.querySelectorAll(`[data-package="${number}"]`)) point.classList.add("chosen");
    for (const line of document.querySelectorAll("[data-chosen-minimum]")) line.remove();
    if (choice.minimum === minima.own) return;
    for (const plot of document.querySelectorAll("[data-hours][data-y]")) drawMinimum(plot);
  }

  /** @param {Element} plot A chart of temperatures: data-x and data-y hold place and value at both ends of each axis. */
  function drawMinimum(plot) {
    const [x1, , x2] = String(plot.getAttribute("data-x")).split(" ").map(Number);
    const [y1, low, y2, high] = String(plot.getAttribute("data-y")).split(" ").map(Number);
    const y = y1 + ((minima.shown[choice.minimum] - low) * (y2 - y1)) / (high - low);
    const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    const places = { x1, x2, y1: y, y2: y, class: "chosen-minimum", "data-chosen-minimum": "" };
    for (const [name, value] of Object.entries(places)) line.setAttribute(name, String(value));
    plot.append(line);
  }

  // ---- The choice, and its copy in the address.

  /** @param {Partial<Choice>} part */
  function change(part) {
    choose(part);
    const { mask, minimum, price, budget } = choice;
    const state = new URLSearchParams({ measures: mask ? lettersOf(mask) : "", minimum: String(minima.celsius[minimum]) });
    if (price !== plan.price) state.set("price", String(price));
    if (budget !== Infinity) state.set("budget", String(budget));
    history.replaceState(null, "", `#${state}`);
  }

  /** @param {Partial<Choice>} part */
  function choose(part) {
    choice = { ...choice, ...part };
    const allowed = choosable(choice.mask), asked = choice.minimum;
    if (!allowed.includes(asked)) choice.minimum = nearest(minima.celsius[asked], allowed);
    moved = choice.minimum === asked ? "" : `It was moved from ${minima.labels[asked]} to ${minima.labels[choice.minimum]}. `;
    show();
  }

  /** @param {number} celsius @param {number[]} positions */
  function nearest(celsius, positions) {
    const far = (/** @type {number} */ i) => Math.abs(minima.celsius[i] - celsius);
    return positions.reduce((best, i) => (far(i) < far(best) ? i : best));
  }

  /** @param {string|null} text @param {number} otherwise */
  function amount(text, otherwise) {
    const value = Number(text);
    return text && value >= 0 && value < 1e9 ? value : otherwise;
  }

  function readAddress() {
    const state = new URLSearchParams(location.hash.slice(1));
    if (!state.has("measures")) return;
    const letters = state.get("measures") || "", celsius = Number(state.get("minimum") || NaN);
    const mask = data.measures.reduce((bits, [letter], i) => bits | (letters.includes(letter) ? 1 << i : 0), 0);
    const minimum = Number.isFinite(celsius) ? nearest(celsius, choosable(0)) : minima.own;
    choose({ mask, minimum, price: amount(state.get("price"), data.price), budget: amount(state.get("budget"), Infinity) });
  }

  ticks.forEach((tick, i) => tick.addEventListener("change", () => change({ mask: choice.mask ^ (1 << i) })));
  slider.addEventListener("input", () => change({ minimum: choosable(choice.mask)[Number(slider.value)] }));
  priceField.addEventListener("input", () => change({ price: amount(priceField.value, data.price) }));
  budgetField.addEventListener("input", () => change({ budget: amount(budgetField.value, Infinity) }));
  document.getElementById("choice-reset")?.addEventListener("click", () => change(plan));
  document.getElementById("choice-print")?.addEventListener("click", () => {
    document.documentElement.classList.add("print-choice");
    window.print();
  });
  window.addEventListener("afterprint", () => document.documentElement.classList.remove("print-choice"));
  window.addEventListener("hashchange", readAddress);
  box.hidden = false;
  show();
  readAddress();
})();
