// Times by the laptop's clock, whatever the phone's own clock says, and waits counted down to them.
// Everything is reckoned from the clock, never from ticks: a phone that slept is right again at once.

import { say } from "./words.js";

const EVERY_MS = 5000;
let ahead_ms = 0;
let offset_min = 0;

export function setClock(iso) {
  ahead_ms = Date.parse(iso) - Date.now();
  const zone = /([+-])(\d\d):(\d\d)$/.exec(iso);
  offset_min = zone ? (zone[1] === "-" ? -1 : 1) * (60 * Number(zone[2]) + Number(zone[3])) : 0;
}

export function now() {
  return new Date(Date.now() + ahead_ms);
}

// 2026-11-05T09:10:00+01:00, in the laptop's zone
export function iso(moment) {
  const shifted = new Date(moment.getTime() + 60000 * offset_min).toISOString().slice(0, 19);
  const size = Math.abs(offset_min);
  const two = (number) => String(number).padStart(2, "0");
  return `${shifted}${offset_min < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

// the time on the wall, with its day unless it is the day of the moment beside it
export function wall(moment, beside = moment) {
  const [day, time] = iso(moment).slice(0, 16).split("T");
  return iso(beside).startsWith(day) ? time : `${day} ${time}`;
}

export function added(moment, minutes) {
  return new Date(moment.getTime() + 60000 * minutes);
}

function span(ms) {
  const minutes = Math.floor(Math.abs(ms) / 60000);
  const hours = Math.floor(minutes / 60);
  const days = Math.floor(hours / 24);
  if (days > 1) return say("days", { days, hours: hours % 24 });
  return hours ? say("hours", { hours, minutes: minutes % 60 }) : say("minutes", { minutes });
}

function count() {
  for (const one of document.querySelectorAll("[data-until]")) {
    const left = Date.parse(one.dataset.until) - now().getTime();
    const last = one.classList.contains("last");
    one.textContent = say(left > 0 ? (last ? "useWithin" : "readyIn") : last ? "tooLate" : "readySince", { left: span(left) });
    one.classList.toggle("over", left <= 0 && last);
  }
}

export function startCounting() {
  count();
  setInterval(count, EVERY_MS);
  for (const event of ["visibilitychange", "pageshow", "focus"]) addEventListener(event, count);
}

export { count };
