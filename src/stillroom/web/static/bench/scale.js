// Where the pointer of a weighing stands while a mass is typed, and what an untared scale then shows.
// The figures are those the page came with; only what is typed, and the step of the scale chosen, moves them.

import { say } from "./words.js";

const PLAIN = /^\s*\d+([.,]\d+)?\s*(g)?\s*$/;
const TWO_READINGS = /^\s*[1-9]\d{0,2},\d{3}(?!\d)/;
const FARTHEST = 2.4;

function typed(line) {
  const text = line.querySelector("input[name^=mass]")?.value || "";
  return PLAIN.test(text) && !TWO_READINGS.test(text) ? Number.parseFloat(text.replace(",", ".")) : null;
}

function scaleOf(line) {
  return line.querySelector("select[name^=scale]")?.value || "";
}

function stepOf(line) {
  return Number(line.querySelector("select[name^=scale] option:checked")?.dataset.step || 0.01);
}

function decimals(step) {
  return (String(step).split(".")[1] || "").length;
}

function point(line) {
  const planned = Number(line.dataset.planned);
  const step = stepOf(line);
  const places = decimals(step);
  const allowed = Math.max(Number(line.dataset.share) * planned, 2 * step);
  const [target, tolerance] = line.querySelectorAll("dd");
  target.firstChild.textContent = `${planned.toFixed(places)} `;
  tolerance.firstChild.textContent = `± ${allowed.toFixed(places)} `;
  const marks = line.querySelectorAll(".beam text");
  [planned - allowed, planned, planned + allowed].forEach((one, at) => (marks[at].textContent = one.toFixed(places)));
  const beam = line.querySelector(".beam");
  beam.querySelector(".pointer")?.remove();
  line.querySelector(".far")?.remove();
  const read = typed(line);
  if (read === null) return;
  const off = Math.max(-FARTHEST, Math.min(FARTHEST, (read - planned) / allowed));
  const pointer = document.createElementNS("http://www.w3.org/2000/svg", "path");
  pointer.setAttribute("class", off < -1 || off > 1 ? "pointer outside" : "pointer");
  pointer.setAttribute("d", `M${200 + 70 * off} 20l-7 -14h14z`);
  beam.append(pointer);
  if (off >= -1 && off <= 1) return;
  const far = document.createElement("p");
  far.className = "error far";
  far.setAttribute("role", "status");
  far.textContent = `■ ${say("farOff", { target: planned.toFixed(places) })}`;
  line.querySelector(".says").append(far);
}

function heldByScale(line) {
  line.querySelector(".too-much")?.remove();
  const { most } = line.querySelector("select[name^=scale] option:checked")?.dataset ?? {};
  if (!most || !(typed(line) > Number(most))) return;
  const told = document.createElement("p");
  told.className = "error too-much";
  told.setAttribute("role", "status");
  told.textContent = `■ ${say("tooMuch", { scale: scaleOf(line), most })}`;
  line.querySelector("input[name^=mass]").closest(".field, .says").append(told);
}

function sum(lines) {
  let together = 0;
  for (const line of lines) {
    const planned = Number(line.dataset.planned);
    const shown = line.querySelector(".running-sum .sum");
    if (shown) {
      shown.textContent = (together + planned).toFixed(decimals(stepOf(line)));
      shown.closest("p").hidden = scaleOf(line) !== scaleOf(lines[0]);
    }
    together += typed(line) ?? planned;
  }
}

export function watchScales(form) {
  const lines = [...form.querySelectorAll(".weigh-line[data-planned]")];
  const every = [...form.querySelectorAll(".weigh-line")];
  const all = () => {
    every.forEach(heldByScale);
    lines.forEach(point);
    sum(lines);
  };
  form.addEventListener("input", all);
  form.addEventListener("change", all);
  all();
  return all;
}
