// The bench pages with a script: what is typed is kept, entries wait for the laptop, a step shows one thing at a time.
// Every page reads and works without it; nothing here needs more than plain http allows.

import { added, iso, now, setClock, startCounting, wall } from "./clocks.js";
import { fieldsOf, fill, forget, keepAs, keepDrafts, markSent } from "./drafts.js";
import { partly } from "./parts.js";
import { add, rememberPin, start, waiting } from "./queue.js";
import { watchScales } from "./scale.js";
import { openTray } from "./tray.js";
import { say } from "./words.js";

const bench = document.querySelector(".bench[data-now]");
const main = document.querySelector("main");
const told = document.querySelector("[data-now]");
if (told) setClock(told.dataset.now);
startCounting();

const cards = bench ? gather() : [];
let at = 0;
const tray = openTray(main, { takenBack, reopen });

function gather() {
  const first = { section: bench.querySelector(".bench-step") };
  const later = [...bench.querySelectorAll(":scope > template")].map((one) => ({
    section: one.content.firstElementChild,
  }));
  return [first, ...later];
}

function dress(card) {
  if (card.form) return;
  card.form = card.section.querySelector("form");
  keepDrafts(card.form);
  card.draw = watchScales(card.form);
  card.parts = partly(card.form);
  card.form.addEventListener("submit", (event) => {
    event.preventDefault();
    write(card);
  });
}

function show(wanted) {
  at = wanted;
  const card = cards[at];
  bench.querySelector(":scope > .bench-step, :scope > .bench-end")?.replaceWith(card ? card.section : ending());
  if (!card) return;
  dress(card);
  tellWait(card, cards[at - 1]);
}

function ending() {
  const made = document.createElement("section");
  made.className = "bench-end";
  const words = document.createElement("p");
  words.textContent = say("lastOffline");
  const on = document.createElement("a");
  Object.assign(on, { className: "do", href: bench.dataset.done, textContent: say("goOn") });
  made.append(words, on);
  return made;
}

// What the step just done gives stands or may wait: by the time it was done, whether or not the book has it yet.
function tellWait(card, before) {
  if (!before?.doneAt) return;
  const { standsMin, waitsMin, step } = before.section.dataset;
  const ready = added(before.doneAt, Number(standsMin));
  const lines = [];
  if (Number(standsMin)) lines.push([say("stands", { step, since: wall(before.doneAt), ready: wall(ready, before.doneAt) }), ready, ""]);
  if (waitsMin) {
    const until = added(ready, Number(waitsMin));
    lines.push([say("standsUntil", { step, since: wall(before.doneAt), until: wall(until, before.doneAt) }), until, "last"]);
  }
  card.section.querySelector(".waits").replaceChildren(
    ...lines.map(([words, moment, manner]) => {
      const line = document.createElement("p");
      const left = document.createElement("span");
      left.className = `left ${manner}`;
      left.dataset.until = moment.toISOString();
      line.append(`${words} `, left);
      return line;
    }),
  );
}

function write(card) {
  if (!card.parts.holds()) return;
  const form = card.form;
  const by = form.elements.by.value;
  const pin = form.elements.pin?.value || "";
  rememberPin(by, pin);
  if (form.elements.pin) form.elements.pin.value = "";
  const own = form.elements.at?.value;
  card.doneAt = own ? new Date(own) : now();
  const kept = add({
    key: form.elements.request_key.value,
    action: form.getAttribute("action"),
    page: location.pathname,
    batch: bench.dataset.batch,
    book: bench.dataset.book,
    step: card.section.dataset.step,
    title: card.section.dataset.step,
    draft: form.dataset.draft,
    fields: fieldsOf(form),
    by,
    needsPin: Boolean(pin),
    at: iso(card.doneAt),
  });
  if (!kept) return tray.tell(say("notKept"));
  forget(form);
  const signer = by;
  show(at + 1);
  if (cards[at] && !cards[at].form.elements.by.value) cards[at].form.elements.by.value = signer;
  toTheTop();
}

function toTheTop() {
  main.scrollIntoView({ block: "start", behavior: "instant" });
}

function indexOf(entry) {
  return cards.findIndex((one) => one.section.dataset.step === entry.step && bench.dataset.batch === entry.batch);
}

function takenBack(entry) {
  const wanted = bench ? indexOf(entry) : -1;
  if (wanted < 0) {
    keepAs(entry);
    location.assign(entry.page);
    return;
  }
  show(wanted);
  fill(cards[wanted].form, entry.fields);
  cards[wanted].form.dispatchEvent(new Event("input"));
  toTheTop();
}

// The refused entry's form with what was typed and its sentences; it keeps its place before those that wait.
function reopen(entry) {
  const wanted = bench ? indexOf(entry) : -1;
  if (wanted < 0) return location.assign(entry.page);
  show(wanted);
  const card = cards[wanted];
  fill(card.form, entry.fields);
  card.draw();
  for (const old of card.form.querySelectorAll(".error.told")) old.remove();
  for (const [name, sentence] of Object.entries(entry.refused.at)) {
    const field = card.form.elements[name];
    const box = (field?.length ? field[0] : field)?.closest?.(".field, fieldset");
    if (!box) continue;
    const told = document.createElement("p");
    told.className = "error told";
    told.textContent = `■ ${sentence}`;
    box.append(told);
  }
  const first = Object.keys(entry.refused.at)[0];
  if (first) card.parts.showFieldOf(first);
}

// A plain form is sent the plain way, once the laptop answers; else what is typed stays.
function guard(form) {
  keepDrafts(form);
  form.addEventListener("submit", async (event) => {
    if (form.dataset.going) return;
    event.preventDefault();
    const answers = await fetch("/static/bench/bench.js", { method: "HEAD", cache: "no-store" }).then(
      (found) => found.ok,
      () => false,
    );
    if (!answers) {
      tray.tell(say("keptTyped"));
      toTheTop();
      return;
    }
    markSent(form);
    form.dataset.going = "yes";
    form.requestSubmit(event.submitter);
  });
}

if (bench) {
  // what waits in this phone is not offered again: the first step that is neither written nor waiting comes first
  const inPhone = waiting().filter((one) => one.batch === bench.dataset.batch && one.book === bench.dataset.book);
  const refused = inPhone.find((one) => one.refused);
  for (const one of inPhone) {
    const found = cards[indexOf(one)];
    if (found) found.doneAt = new Date(one.at);
  }
  const next = cards.findIndex((card) => !inPhone.some((one) => one.step === card.section.dataset.step));
  show(next < 0 ? cards.length : next);
  if (refused) reopen(refused);
}
for (const form of document.querySelectorAll("form[data-draft]:not([data-queue])")) guard(form);
start();
