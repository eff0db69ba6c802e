// One thing at a time: the parts of a step one after the other, with what comes next below each.

import { say } from "./words.js";

function button(words, manner) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  if (manner) made.className = manner;
  return made;
}

function controls(part) {
  return [...part.querySelectorAll("input, select, textarea")];
}

// A figure has one reading, with a decimal comma or point; "1,500" has two and is asked back here, at its own card.
function checked(one) {
  if (one.inputMode !== "decimal") return one;
  const text = one.value.trim();
  const [, whole, part] = text.match(/^[-+±−]?\s*([1-9]\d{0,2}),(\d{3})(?!\d)/) || [];
  const figure = text === "" || /^[-+±−]?\s*\d/.test(text);
  const plain = part && `${whole}.${part}`.replace(/\.?0+$/, "");
  one.setCustomValidity(whole ? say("twoReadings", { one: whole + part, two: plain }) : figure ? "" : say("noFigure"));
  return one;
}

export function partly(form) {
  const parts = [...form.querySelectorAll(":scope > .part")];
  form.noValidate = true;
  form.classList.add("one-at-a-time");
  const nameOf = (part) => part.dataset.name || "";
  const show = (wanted, { focus = true } = {}) => {
    parts.forEach((part, at) => part.classList.toggle("unshown", at !== wanted));
    form.dataset.part = String(wanted);
    if (!focus) return;
    form.scrollIntoView({ block: "start", behavior: "instant" });
    const first = parts[wanted].querySelector("h2, .what");
    first?.setAttribute("tabindex", "-1");
    first?.focus({ preventScroll: true });
  };
  const wrong = (part) => controls(part).find((one) => !checked(one).checkValidity());
  const allows = (part) => {
    const found = wrong(part);
    found?.reportValidity();
    return !found;
  };
  parts.forEach((part, at) => {
    const row = document.createElement("p");
    row.className = "turning";
    if (at > 0) {
      const back = button(say("back"), "quiet");
      back.addEventListener("click", () => show(at - 1));
      row.append(back);
    }
    if (at < parts.length - 1) {
      const on = button(say("next", { name: nameOf(parts[at + 1]) }));
      on.addEventListener("click", () => allows(part) && show(at + 1));
      row.append(on);
    }
    if (parts.length > 1) {
      const where = document.createElement("span");
      where.className = "part-count";
      where.textContent = say("part", { at: at + 1, of: parts.length });
      row.append(where);
    }
    part.append(row);
  });
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    const at = Number(form.dataset.part);
    if (at === parts.length - 1) return;
    event.preventDefault();
    if (allows(parts[at])) show(at + 1);
  });
  const firstWrong = parts.findIndex((part) => part.querySelector("[aria-invalid], .field.wrong"));
  show(Math.max(firstWrong, 0), { focus: firstWrong > 0 });
  return {
    show,
    // every part holds, or the first that does not is shown with its sentence
    holds() {
      const at = parts.findIndex(wrong);
      if (at < 0) return true;
      show(at);
      wrong(parts[at]).reportValidity();
      return false;
    },
    showFieldOf(name) {
      const at = parts.findIndex((part) => part.querySelector(`[name="${CSS.escape(name)}"]`));
      if (at >= 0) show(at);
    },
  };
}
