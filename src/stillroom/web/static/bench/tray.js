// Above the page: what was just written and can still be taken back, what waits, and what was refused.

import { count as countClocks, wall } from "./clocks.js";
import { keepAs } from "./drafts.js";
import { drop, heard, lacksPin, release, rememberPin, pump, state, waiting } from "./queue.js";
import { say } from "./words.js";

const EVERY_MS = 250;

function made(tag, words = "", manner = "") {
  const one = document.createElement(tag);
  if (words) one.textContent = words;
  if (manner) one.className = manner;
  if (tag === "button") one.type = "button";
  return one;
}

function act(words, manner, does) {
  const one = made("button", words, manner);
  one.addEventListener("click", does);
  return one;
}

export function openTray(main, { takenBack, reopen }) {
  const tray = made("div", "", "tray no-print");
  const held = made("div", "", "held");
  const told = made("div", "", "told-here");
  const rest = made("div", "", "waiting");
  const voice = made("p", "", "unseen");
  voice.setAttribute("role", "status");
  tray.append(held, told, rest, voice);
  main.prepend(tray);
  let drawn = "";

  const tell = (words) => {
    told.replaceChildren(...(words ? [made("p", words, "said")] : []));
  };

  function drawHeld() {
    const last = waiting().find((one) => one.hold > Date.now() && !one.refused);
    const left = last ? Math.ceil((last.hold - Date.now()) / 1000) : 0;
    if (left <= 0) {
      if (held.firstChild) held.replaceChildren();
      return;
    }
    if (held.dataset.key !== last.key || !held.firstChild) {
      held.dataset.key = last.key;
      const back = act(say("takeBack"), "quiet", () => {
        const found = drop(last.key);
        tell(say("takenBack", { title: last.title }));
        if (found) takenBack(found);
      });
      const row = made("p", "", "turning");
      row.append(back, act(say("writeNow"), "quiet", release));
      held.replaceChildren(made("p", "", "held-for"), row);
      told.replaceChildren();
      voice.textContent = say("heldFor", { title: last.title, left });
    }
    held.firstChild.textContent = say("heldFor", { title: last.title, left });
  }

  function drawRest() {
    const { list, silent, shut, pinSays } = state();
    const due = list.filter((one) => one.hold <= Date.now() || one.refused);
    const wantsPin = list[0] && lacksPin(list[0]) ? list[0] : null;
    const seen = JSON.stringify([due.map((one) => [one.key, one.refused]), silent, shut, pinSays, wantsPin?.by]);
    if (seen === drawn) return;
    drawn = seen;
    const trouble = silent || shut || wantsPin || list[0]?.refused;
    if (!due.length || !trouble) return rest.replaceChildren();
    const heading = say(due.length === 1 ? "oneWaiting" : "manyWaiting", { count: due.length });
    const parts = [made("p", heading, "waiting-count")];
    if (list[0].refused) parts.push(...refusedParts(list[0]));
    else if (shut) parts.push(made("p", say("notJoined")));
    else if (wantsPin) parts.push(pinForm(wantsPin, list, pinSays));
    else parts.push(made("p", say("noConnection")));
    const all = made("ul");
    for (const one of due) {
      const blanks = { title: one.title, batch: one.batch, time: wall(new Date(one.at)) };
      all.append(made("li", say(one.batch ? "doneAt" : "doneAtPlain", blanks)));
    }
    parts.push(all);
    if (!list[0].refused && !wantsPin) parts.push(act(say("sendNow"), "", release));
    rest.replaceChildren(...parts);
    voice.textContent = heading;
  }

  function refusedParts(entry) {
    const says = [entry.refused.says, ...Object.values(entry.refused.at)].filter(Boolean).join(" ");
    const row = made("p", "", "turning");
    row.append(
      act(say("open"), "", () => reopen(entry)),
      act(say("throwAway"), "stop", () => discard(entry)),
    );
    const sentence = made("p", say("refused", { title: entry.title, says }), "trouble");
    sentence.setAttribute("role", "alert");
    return [sentence, row];
  }

  // out of the row, yet not lost: its figures lie as a draft in the form they were typed into
  function discard(entry) {
    drop(entry.key);
    keepAs(entry);
  }

  function pinForm(entry, list, pinSays) {
    const theirs = list.filter((one) => one.by === entry.by).length;
    const form = made("form", "", "pin-form");
    const label = made("label", say("needsPin", { by: entry.by, count: theirs }));
    const field = made("input");
    Object.assign(field, { type: "password", inputMode: "numeric", autocomplete: "off", required: true, id: "waiting-pin" });
    label.htmlFor = field.id;
    const box = made("div", "", "entry short");
    box.append(field);
    const use = made("button", say("usePin"));
    use.type = "submit";
    form.append(label, box, ...(pinSays ? [made("p", pinSays, "error")] : []), use);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      rememberPin(entry.by, field.value);
      pump();
    });
    return form;
  }

  function draw() {
    drawHeld();
    drawRest();
  }

  heard((event) => {
    if (event.written) {
      tell(event.answer.says);
      const number = event.answer.entries?.at(-1);
      if (number) {
        const line = made("p", "", "small");
        const link = made("a", say("entry", { number }));
        link.href = `/entries/${number}`;
        line.append(link, say("toRead"));
        told.append(line);
      }
      voice.textContent = event.answer.says;
    }
    draw();
    countClocks();
  });
  setInterval(draw, EVERY_MS);
  draw();
  return { tell };
}
