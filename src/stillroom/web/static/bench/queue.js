// Entries on their way to the book: kept in this phone, sent in order, one at a time, until the book has answered.
// Each carries the key its form was opened with, so that sent twice it is written once, and the time it was done.
// The PIN of a person is held in memory only and is lost with the page.

import { store } from "./drafts.js";

const NAME = "stillroom waiting";
const AGAIN_MS = 4000;
const PATIENCE_MS = 15000;
const HOLD_MS = 10000;

const pins = new Map();
const listeners = new Set();
let sending = null;
let silent = false;
let shut = false;
let pinSays = "";
let timer = 0;

export const waiting = () => store.get(NAME) || [];
export const state = () => ({ list: waiting(), sending, silent, shut, pinSays });
export const heard = (listener) => listeners.add(listener);

function tell(event = {}) {
  for (const one of listeners) one(event);
}

function save(list) {
  return list.length ? store.set(NAME, list) : (store.drop(NAME), true);
}

export function rememberPin(by, pin) {
  if (pin) pins.set(by, pin);
  pinSays = "";
}

// A refused entry that was put right takes its old place, an earlier step goes before the later one that waits (its key),
// any other goes to the end; nothing before it is held on.
export function add(entry, before = "") {
  const list = waiting().map((one) => ({ ...one, hold: 0 }));
  const at = list.findIndex((one) => one.draft === entry.draft && one.book === entry.book);
  const later = list.findIndex((one) => one.key === before);
  const held = { ...entry, hold: entry.atOnce ? 0 : Date.now() + HOLD_MS };
  if (at >= 0) list[at] = held;
  else list.splice(later < 0 ? list.length : later, 0, held);
  const done = save(list);
  tell();
  pump();
  return done;
}

export function drop(key) {
  const found = waiting().find((one) => one.key === key);
  save(waiting().filter((one) => one.key !== key));
  tell();
  pump();
  return found;
}

export function release() {
  save(waiting().map((one) => ({ ...one, hold: 0 })));
  silent = false;
  shut = false;
  pump();
}

export const knowsPin = (by) => pins.has(by);

export function lacksPin(entry) {
  return entry.needsPin && !pins.has(entry.by);
}

function bodyOf(entry) {
  const body = new URLSearchParams(entry.fields);
  body.set("request_key", entry.key);
  body.set("book", entry.book);
  if (entry.step) body.set("step", entry.step);
  if (!body.get("at")) body.set("at", entry.at);
  if (pins.has(entry.by)) body.set("pin", pins.get(entry.by));
  return body;
}

function post(entry, more = {}) {
  const headers = { Accept: "application/json" };
  return fetch(entry.action, { method: "POST", headers, body: bodyOf(entry), redirect: "manual", ...more });
}

export async function pump() {
  clearTimeout(timer);
  const head = waiting()[0];
  tell();
  if (!head || sending || head.refused || lacksPin(head)) return;
  const held = head.hold - Date.now();
  if (held > 0) {
    timer = setTimeout(pump, Math.min(held, 1000));
    return;
  }
  sending = head.key;
  tell();
  const answer = await ask(head);
  sending = null;
  take(head, answer);
}

async function ask(head) {
  const patience = new AbortController();
  const stop = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    const response = await post(head, { signal: patience.signal });
    const data = (response.headers.get("content-type") || "").startsWith("application/json");
    return { status: response.status, data: data ? await response.json() : null };
  } catch {
    return { status: 0, data: null };
  } finally {
    clearTimeout(stop);
  }
}

function take(head, { status, data }) {
  if (status === 0 || status >= 500) {
    silent = true;
    timer = setTimeout(pump, AGAIN_MS);
    return tell();
  }
  silent = false;
  shut = data === null;
  if (shut) return tell();
  if (status < 300) {
    // what was refused behind it may be right now: it is asked once more
    save(waiting().filter((one) => one.key !== head.key).map(({ refused: _, ...one }) => one));
    tell({ written: head, answer: data });
    return pump();
  }
  if (data.at?.pin) {
    pins.delete(head.by);
    pinSays = data.at.pin;
    save(waiting().map((one) => (one.by === head.by ? { ...one, needsPin: true } : one)));
    return tell();
  }
  const refused = { says: data.says || "", at: data.at || {} };
  save(waiting().map((one) => (one.key === head.key ? { ...one, refused } : one)));
  return tell({ refused: head });
}

// The page goes away: the first entry leaves at once; should the answer be lost, the next page asks again by its key.
function leave() {
  const head = waiting()[0];
  save(waiting().map((one) => ({ ...one, hold: 0 })));
  if (!head || sending || head.refused || lacksPin(head)) return;
  post(head, { keepalive: true }).catch(() => {});
}

export function start() {
  addEventListener("pagehide", leave);
  addEventListener("online", release);
  addEventListener("storage", () => tell());
  addEventListener("pageshow", pump);
  addEventListener("visibilitychange", () => document.visibilityState === "visible" && pump());
  pump();
}
