// @ts-check
// Live choices of a report: measures, minimum water temperature, price and budget. All figures come from the JSON beside
// this script (thermal/report/choices.py), none from anywhere else; every text is set as text, never as HTML.
(() => {
  "use strict";
  /**
   * Figures of many designs; byMonth holds the months of the first design, then those of the second, and so on.
   * @typedef {{needed: (number|null)[], kwh: number[], cost: number[], outage: (number|null)[], mould: number[],
   *   byMonth: number[], byWinter?: number[]}} Columns byWinter: kWh of every complete winter, on a page with their chart
   * @typedef {{at: number[], needed: number[][], kwh: number[][], cost: number[][]}} Effects
   * @typedef {{celsius: number[], labels: string[], shown: number[], notes: string[], own: number, designs: Columns,
   *   effects: Effects}} Minima
   * @typedef {{currency: string, span: string, complete: boolean, price: number, charge: number, simple: boolean,
   *   months: string[], measures: [string, number][], masks: number[], packages: Columns, front: number[],
   *   minima: Minima}} Data
   * @typedef {{mask: number, minimum: number, price: number, budget: number}} Choice
   * @typedef {{needed: number|null, kwh: number, cost: number, outage: number|null|undefined,
   *   mould: number|undefined, months: number[]|undefined, about: boolean}} Figures undefined: not calculated
   */

  const box = element("choices");
  const data = /** @type {Data} */ (JSON.parse(element("choice-data").textContent || ""));
  const { minima, packages } = data;
  const everything = 2 ** data.measures.length - 1;
  const numberOf = /** @type {number[]} */ ([]);
  data.masks.forEach((mask, number) => { numberOf[mask] = number; });
  const ticks = /** @type {HTMLInputElement[]} */ ([...box.querySelectorAll("[data-measure]")]);
  const [slider, priceField, budgetField] = /** @type {HTMLInputElement[]} */ (
    ["choice-minimum", "choice-price", "choice-budget"].map(element));
  const plan = /** @type {Choice} */ ({ mask: 0, minimum: minima.own, price: data.price, budget: Infinity });
  let choice = { ...plan };
  let moved = ""; // why the minimum is not the one that was asked for

  // ---- Texts, as thermal/report/table_data.py makes them.

  /** @param {number} value @param {number} [decimals] */
  function fixed(value, decimals = 0) {
    return value.toLocaleString("en-US", { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
  }

  /** @param {number} value */
  function priced(value) {
    const sign = [...data.currency].length === 1 && !/\p{L}/u.test(data.currency);
    return sign ? `${value < 0 ? "-" : ""}${data.currency}${money(Math.abs(value))}` : `${money(value)} ${data.currency}`;
  }

  /** @param {number} value */
  function money(value) { return fixed(value, Math.abs(value) >= 19.995 ? 0 : 2); }
  /** @param {number|null} value */
  function watts(value) { return value === null ? "none is enough" : `${fixed(Math.ceil(value / 10 - 1e-6) * 10)} W`; }
  /** @param {number|null} value */
  function hours(value) { return value === null ? "over a week" : `${fixed(value, value < 10 ? 1 : 0)} hours`; }
  /** @param {number} mask */
  function lettersOf(mask) { return data.measures.flatMap(([letter], i) => (mask & (1 << i) ? letter : [])).join(""); }
  /** @param {number} mask */
  function priceOf(mask) { return data.measures.reduce((sum, [, cost], i) => sum + (mask & (1 << i) ? cost : 0), 0); }
  /** @param {string} id */
  function element(id) { return /** @type {HTMLElement} */ (document.getElementById(id)); }
  /** @param {string} id */
  function bodyOf(id) { return /** @type {HTMLTableElement} */ (element(id)).tBodies[0]; }
  /** @param {string} id @param {string} text */
  function say(id, text) { if (element(id).textContent !== text) element(id).textContent = text; }

  // ---- Figures. A minimum with measures is estimated where the page says "about", and not given elsewhere.

  /** @param {number} mask @returns {number[]} Minima that can be chosen with these measures. */
  function choosable(mask) {
    return mask ? [minima.own, ...minima.effects.at].sort((a, b) => a - b) : [...minima.celsius.keys()];
  }

  /** @param {number} kwh @param {number} cost @param {number} price Cost of a winter at another price. */
  function billed(kwh, cost, price) { return data.simple ? cost + kwh * (price - data.price) : (cost * price) / data.price; }

  /** @param {Columns} columns @param {number} number @param {number} price @returns {Figures} */
  function exact(columns, number, price) {
    const first = number * data.months.length;
    const months = columns.byMonth.slice(first, first + data.months.length)
      .map((value) => (data.simple ? value * price + data.charge : (value * price) / data.price));
    const { needed, kwh, cost, outage, mould } = columns;
    return { needed: needed[number], kwh: kwh[number], cost: billed(kwh[number], cost[number], price),
      outage: outage[number], mould: mould[number], months, about: false };
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

  // ---- Showing.

  function show() {
    const { mask, minimum, price } = choice;
    const now = figuresOf(choice), before = figuresOf({ ...plan, price });
    const about = now.about ? "about " : "", toBuy = priceOf(mask), saves = figuresOf({ ...choice, mask: 0 }).cost - now.cost;
    const winters = data.complete && toBuy > 0 && saves > 0 ? `${fixed(toBuy / saves, 1)} winters` : "—";
    const tiles = {
      needed: [about + watts(now.needed), watts(before.needed)],
      kwh: [`${about}${fixed(now.kwh)} kWh`, `${fixed(before.kwh)} kWh`],
      cost: [about + priced(now.cost), priced(before.cost)],
      payback: [now.about ? "not calculated" : winters, ""],
      outage: [now.outage === undefined ? "not calculated" : hours(now.outage), hours(before.outage ?? null)],
      mould: [now.mould === undefined ? "not calculated" : `${fixed(now.mould)} hours`, `${fixed(before.mould ?? 0)} hours`],
    };
    for (const [key, [text, was]] of Object.entries(tiles)) {
      say(`choice-${key}`, text);
      say(`choice-${key}-plan`, was && was !== text ? `the plan: ${was}` : "");
    }
    say("choice-result", `${mask ? `${lettersOf(mask)}, ${priced(toBuy)} to buy` : "No measures"}, at ${minima.labels[minimum]}:`
      + ` heater needed ${tiles.needed[0]}, heating ${tiles.kwh[0]}, ${tiles.cost[0]} ${data.span}.`);
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
    const range = `With measures: from ${label[allowed[0]]} to ${label[allowed[allowed.length - 1]]}, estimated within 3 %.`;
    const none = "With measures it is fixed: estimates at another one could be wrong by more than 3 %.";
    say("choice-range", mask ? moved + (slider.disabled ? none : range) : "");
    if (document.activeElement !== priceField) priceField.value = String(price);
    if (document.activeElement !== budgetField) budgetField.value = budget === Infinity ? "" : String(budget);
    priceField.disabled = !data.simple && data.price === 0;
  }

  /** @param {number[]|undefined} months */
  function showMonths(months) {
    say("choice-no-months", months ? "" : "Not calculated for measures at another minimum.");
    element("choice-months").hidden = !months;
    const most = Math.max(0.01, ...(months || []));
    bodyOf("choice-months").replaceChildren(...(months || []).map((value, i) => {
      const row = rowOf([data.months[i], money(value), ""]), bar = document.createElement("span");
      bar.className = "bar";
      bar.style.width = `${Math.max(0, (100 * value) / most)}%`;
      row.cells[2].append(bar);
      return row;
    }));
  }

  function showBest() {
    if (!data.measures.length) return;
    const best = data.front.filter((number) => priceOf(data.masks[number]) <= choice.budget)
      .map((number) => ({ mask: data.masks[number], ...exact(packages, number, choice.price) }))
      .sort((a, b) => a.cost - b.cost).slice(0, 8);
    say("choice-best-note", best.length ? `At ${minima.labels[minima.own]}, the cheapest to run first.`
      : "No set of measures keeps the minimum within this budget.");
    const body = bodyOf("choice-best"), state = `${choice.price} ${best.map(({ mask }) => mask)}`;
    if (body.dataset.state !== state) { // otherwise the button that has the focus keeps it
      body.dataset.state = state;
      body.replaceChildren(...best.map(({ mask, needed, cost }) => {
        const row = rowOf(["", money(priceOf(mask)), watts(needed), money(cost)]), button = document.createElement("button");
        button.type = "button";
        button.textContent = lettersOf(mask) || "no measures";
        button.addEventListener("click", () => change({ mask, minimum: minima.own }));
        row.cells[0].append(button);
        return row;
      }));
    }
    best.forEach(({ mask }, i) => body.rows[i].classList.toggle("chosen", mask === choice.mask));
  }

  /** @param {string[]} texts */
  function rowOf(texts) {
    const row = document.createElement("tr");
    texts.forEach((text) => { row.insertCell().textContent = text; });
    row.cells[0].className = "w";
    return row;
  }

  /** Mark the choice: in the charts of packages, of minima, of temperatures and of all winters. */
  function mark() {
    const number = numberOf[choice.mask], degrees = minima.shown[choice.minimum], other = choice.minimum !== minima.own;
    document.querySelectorAll("svg circle.chosen").forEach((ring) => {
      ring.setAttribute("cx", String(place(ring, "data-x", priceOf(choice.mask))));
      ring.setAttribute("cy", String(place(ring, "data-y", packages.cost[number])));
      ring.setAttribute("visibility", packages.needed[number] === null ? "hidden" : "visible");
    });
    document.querySelectorAll("svg path.chosen").forEach((line) => {
      line.setAttribute("transform", `translate(${place(line, "data-x", degrees)} 0)`);
      line.setAttribute("visibility", other ? "visible" : "hidden");
    });
    document.querySelectorAll("[data-minimum-mark]").forEach((part) => part.remove());
    const words = `with ${lettersOf(choice.mask)}`, { byWinter = [] } = packages, count = byWinter.length / packages.kwh.length;
    if (choice.mask && !other) document.querySelectorAll("svg [data-winter]").forEach((bar) => {
      const winter = Number(bar.getAttribute("data-winter")), y = place(bar, "data-kwh-y", byWinter[number * count + winter]);
      addTo(bar, "path", { class: "chosen-heating", d: `M${bar.getAttribute("x")} ${y}h${bar.getAttribute("width")}` });
      if (!winter) addTo(bar, "text", { x: 168, y: 238 }).textContent = `marks: ${words}`;
    });
    document.querySelectorAll("svg[data-hours]").forEach((plot) => {
      const [left, , right] = String(plot.getAttribute("data-x")).split(" ");
      const y = place(plot, "data-y", degrees), top = Number(String(plot.getAttribute("data-y")).split(" ")[2]);
      if (choice.mask) addTo(plot, "text", { x: Number(left) + 4, y: top - 9 }).textContent =
        `${words}: heater needed ${element("choice-needed").textContent}`;
      if (!other) return;
      addTo(plot, "path", { class: "chosen-minimum", d: `M${left} ${y}H${right}` });
      addTo(plot, "text", { x: Number(left) + 4, y: y - 5 }).textContent = `chosen: ${minima.labels[choice.minimum]}`;
    });
  }

  /** @param {Element} within @param {string} name @param {Record<string, string|number>} attributes */
  function addTo(within, name, attributes) {
    const part = document.createElementNS("http://www.w3.org/2000/svg", name);
    Object.entries({ ...attributes, "data-minimum-mark": "" }).forEach(([key, value]) => part.setAttribute(key, String(value)));
    return /** @type {Element} */ (within.closest("svg")).appendChild(part);
  }

  /** @param {Element} within @param {string} axis Its attribute: place and value at both ends. @param {number} value */
  function place(within, axis, value) {
    const [start, low, end, high] = String(within.closest("svg")?.getAttribute(axis)).split(" ").map(Number);
    return start + ((value - low) * (end - start)) / (high - low);
  }

  // ---- The choice, and its copy in the address.

  /** @param {Partial<Choice>} part */
  function change(part) {
    const { mask, minimum, price, budget } = choose(part);
    const state = new URLSearchParams({ measures: lettersOf(mask), minimum: String(minima.celsius[minimum]) });
    if (price !== plan.price) state.set("price", String(price));
    if (budget !== Infinity) state.set("budget", String(budget));
    history.replaceState(null, "", `#${state}`);
  }

  /** @param {Partial<Choice>} part */
  function choose(part) {
    choice = { ...choice, ...part };
    const allowed = choosable(choice.mask), asked = choice.minimum;
    if (!allowed.includes(asked)) choice.minimum = nearest(minima.celsius[asked], allowed);
    moved = choice.minimum === asked ? "" : `Moved from ${minima.labels[asked]}. `;
    show();
    return choice;
  }

  /** @param {number} celsius @param {number[]} positions */
  function nearest(celsius, positions) {
    const far = minima.celsius.map((other) => Math.abs(other - celsius));
    return [...positions].sort((a, b) => far[a] - far[b])[0];
  }

  /** @param {string|null} text @param {number} otherwise */
  function amount(text, otherwise) { return text && Number(text) >= 0 && Number(text) < 1e9 ? Number(text) : otherwise; }

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
  element("choice-reset").addEventListener("click", () => change(plan));
  element("choice-print").addEventListener("click", () => {
    document.documentElement.classList.add("print-choice");
    window.print();
  });
  window.addEventListener("afterprint", () => document.documentElement.classList.remove("print-choice"));
  window.addEventListener("hashchange", readAddress);
  box.hidden = false;
  show();
  readAddress();
})();
