"use strict";
// Shows what the server says; it decides nothing. Text from a rig is only ever set as text.
const SILENT_MS = 6000;
const rigs = document.getElementById("rigs");
const silence = document.getElementById("silence");
const cards = new Map();
let heardAt = Date.now();
let latest = null;

const sign = () => (latest.fahrenheit ? "°F" : "°C");
const turned = (c) => (latest.fahrenheit ? c * 1.8 + 32 : c);
const fixed = (celsius) => (celsius === null || celsius === undefined ? "–" : turned(celsius).toFixed(1));
const percent = (value) => (value === null ? "–" : Math.round(value * 100) + " %");
const span = (s) => (s < 90 ? Math.round(s) + " s" : s < 5400 ? Math.round(s / 60) + " min" : (s / 3600).toFixed(1) + " h");

function card(name) {
  if (!cards.has(name)) {
    const made = document.getElementById("rig").content.firstElementChild.cloneNode(true);
    made.querySelector(".stop").addEventListener("click", () => stop(name, made));
    cards.set(name, made);
  }
  return cards.get(name);
}

function put(at, selector, text) {
  const place = at.querySelector(selector);
  if (place.textContent !== text) place.textContent = text;
  return place;
}

function draw(at, rig) {
  put(at, ".name", rig.rig);
  put(at, ".recipe", rig.recipe);
  put(at, ".state", rig.state.toUpperCase());
  at.querySelector(".virtual").hidden = !rig.virtual;
  put(at, ".number", fixed(rig.chocolate_c));
  put(at, ".unit", sign());
  put(at, ".position", rig.window_low_c === null ? "" : `${rig.position}: ${fixed(rig.window_low_c)} to ${fixed(rig.window_high_c)} ${sign()}`);
  put(at, ".sentence", rig.sentence);
  put(at, ".next", rig.next).classList.toggle("asks", rig.next.startsWith("Please"));
  at.classList.toggle("needs", rig.tripped || !rig.answers || rig.alarms.some((a) => a.priority === "high"));
  at.querySelector(".stop").hidden = !(latest.may_stop && rig.answers && rig.active);
  drawScale(at, rig);
  drawAlarms(at, rig);
  drawCurve(at, rig);
  const rows = [["bath", fixed(rig.bath_c) + " " + sign()], ["target", fixed(rig.target_c) + " " + sign()], ["heat", percent(rig.heat_share)], ["chill", percent(rig.chill_share)], ["stir", percent(rig.stir_share)], ["phase", rig.phase + (rig.phase_left ? ", " + rig.phase_left + " left" : "")]];
  if (rig.room_c !== null) rows.push(["room", fixed(rig.room_c) + " " + sign()]);
  at.querySelector("dl").replaceChildren(...rows.map(([name, value]) => {
    const row = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
    dt.textContent = name; dd.textContent = value; row.append(dt, dd);
    return row;
  }));
}

function drawScale(at, rig) {
  const scale = at.querySelector(".scale");
  scale.hidden = rig.window_low_c === null || rig.chocolate_c === null;
  if (scale.hidden) return;
  const width = rig.window_high_c - rig.window_low_c;
  const low = rig.window_low_c - 1.5 * width, high = rig.window_high_c + 1.5 * width;
  const part = (c) => Math.min(100, Math.max(0, ((c - low) / (high - low)) * 100));
  const band = scale.querySelector(".window");
  band.style.left = part(rig.window_low_c) + "%";
  band.style.width = part(rig.window_high_c) - part(rig.window_low_c) + "%";
  scale.querySelector(".mark").style.left = part(rig.chocolate_c) + "%";
}

function drawAlarms(at, rig) {
  at.querySelector(".alarms").replaceChildren(...rig.alarms.map((alarm) => {
    const row = document.createElement("li"), what = document.createElement("b");
    row.className = ["high", "medium", "low"].includes(alarm.priority) ? alarm.priority : "high";
    what.textContent = `${alarm.priority.toUpperCase()}: ${alarm.happened}`;
    row.append(what, `${alarm.rig_did} Do now: ${alarm.do_now}`);
    return row;
  }));
}

function drawCurve(at, rig) {
  const all = rig.curve.done.concat(rig.curve.expected);
  at.querySelector(".curve").style.display = all.length < 2 ? "none" : "";
  if (all.length < 2) return put(at, ".span", "");
  const times = all.map((p) => p[0]), values = all.map((p) => p[1]);
  const t0 = Math.min(...times), t1 = Math.max(...times);
  const c0 = Math.floor(Math.min(...values) - 1), c1 = Math.ceil(Math.max(...values) + 1);
  const x = (t) => (320 * (t - t0)) / (t1 - t0 || 1), y = (c) => 120 - (120 * (c - c0)) / (c1 - c0);
  const points = (list) => list.map(([t, c]) => `${x(t).toFixed(1)},${y(c).toFixed(1)}`).join(" ");
  at.querySelector(".done").setAttribute("points", points(rig.curve.done));
  at.querySelector(".expected").setAttribute("points", points(rig.curve.expected));
  const band = at.querySelector(".band");
  if (rig.window_low_c === null) band.setAttribute("height", 0);
  else {
    const top = Math.max(0, y(rig.window_high_c)), bottom = Math.min(120, y(rig.window_low_c));
    for (const [name, value] of [["x", 0], ["width", 320], ["y", top], ["height", Math.max(0, bottom - top)]]) band.setAttribute(name, value);
  }
  put(at, ".span", `${Math.round(turned(c0))} to ${Math.round(turned(c1))} ${sign()} over ${span(t1 - t0)}; broken line: expected`);
}

function show() {
  const silent = Date.now() - heardAt;
  silence.hidden = silent < SILENT_MS;
  if (!silence.hidden) put(document, "#silence", `Nothing heard for ${span(silent / 1000)}: the computer, its network or this page has gone. What stands below is old.`);
  if (!latest) return;
  for (const rig of latest.rigs) {
    const at = card(rig.rig);
    const age = rig.age_s === null ? null : rig.age_s + silent / 1000;
    const old = rig.stale || !silence.hidden;
    at.classList.toggle("stale", old);
    const words = age === null ? "no reading yet" : `${span(age)} old`;
    put(at, ".age", rig.answers ? `This reading is ${words}.` : `The keeper has gone; the last reading is ${words}.`).hidden = !old || (age === null && rig.answers);
  }
}

function hear(data) {
  latest = data;
  heardAt = Date.now();
  const names = data.rigs.map((rig) => rig.rig);
  for (const name of [...cards.keys()]) if (!names.includes(name)) { cards.get(name).remove(); cards.delete(name); }
  if (!names.length) { const none = document.createElement("p"); none.className = "none"; none.textContent = "No rig runs on this computer."; rigs.replaceChildren(none); }
  else {
    for (const none of rigs.querySelectorAll(".none")) none.remove();
    data.rigs.forEach((rig, at) => { const made = card(rig.rig); if (rigs.children[at] !== made) rigs.insertBefore(made, rigs.children[at] || null); draw(made, rig); });
  }
  const worst = data.rigs.find((rig) => rig.tripped || rig.alarms.length);
  if (data.may_stop) put(document, "#may", "This page looks; the one order it can give is to stop a rig.");
  document.title = worst ? `! ${worst.rig}` : data.rigs.length ? `${fixed(data.rigs[0].chocolate_c)} ${sign()}` : "Glossbath";
  show();
}

async function stop(name, at) {
  const button = at.querySelector(".stop"), word = button.dataset.again || "";
  const answer = await fetch(`stop?rig=${encodeURIComponent(name)}${word ? "&again=" + encodeURIComponent(word) : ""}`, { method: "POST" }).catch(() => null);
  const said = answer ? await answer.json().catch(() => ({})) : {};
  button.dataset.again = said.again || "";
  button.classList.toggle("again", Boolean(said.again));
  button.textContent = said.again ? "Tap again to stop: heat, chill and stirrer off" : "Stop this rig";
  put(at, ".answer", said.again ? "" : said.text || "No answer: use the stop button at the rig.");
  if (said.again) setTimeout(() => { if (button.dataset.again === said.again) { button.dataset.again = ""; button.classList.remove("again"); button.textContent = "Stop this rig"; } }, 6000);
}

new EventSource("events").addEventListener("message", (event) => hear(JSON.parse(event.data)));
setInterval(show, 1000);
