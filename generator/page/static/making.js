// Something that is made while one waits: its steps, the share done, the time left, a way to stop, then a zip.

import { ask, byId, Refused, say, showFaults } from "./core.js";

// Time left is told from this share on: what is seen before says too little.
const TELLING = 0.08;

// The parts of the page round a button: "make" has make-cancel, make-progress, make-told, make-left and make-faults.
export class Making {
  constructor(name) {
    this.button = byId(name);
    this.cancel = byId(`${name}-cancel`);
    this.bar = byId(`${name}-progress`);
    this.told = byId(`${name}-told`);
    this.left = byId(`${name}-left`);
    this.faults = byId(`${name}-faults`);
    this.cancel.addEventListener("click", () => this.stop?.abort());
  }

  // Ask for it; the zip as { name, bytes, errors }, or null where there is none.
  async run(path, body = {}) {
    this.stop = new AbortController();
    this.running(true);
    showFaults(this.faults, []);
    this.told.textContent = say("working");
    try {
      const reply = await ask(path, body, { signal: this.stop.signal });
      const made = await this.received(reply.body.getReader());
      this.told.textContent = "";
      return made;
    } catch (error) {
      this.told.textContent = error.name === "AbortError" ? say("cancelled") : "";
      if (error instanceof Refused) showFaults(this.faults, error.errors);
      else if (error.name !== "AbortError") this.told.textContent = say("cut_short");
      return null;
    } finally { this.running(false); }
  }

  running(on) {
    this.button.disabled = on;
    this.cancel.hidden = !on;
    this.bar.hidden = !on;
    this.bar.removeAttribute("value");
    this.first = this.last = null;
    this.left.textContent = "";
    clearInterval(this.clock);
    if (on) this.clock = setInterval(() => this.count(), 1000);
  }

  // A step that begins, or one of a known number that has ended; with its share where it is known.
  step({ step, share, done, count }) {
    this.told.textContent = say(done ? "made_so_far" : "making", { step, done, count });
    if (share === undefined) return;
    const now = performance.now();
    this.first ??= { share, now };
    if (share > (this.last?.share ?? -1)) this.last = { share, now };
    this.bar.value = share;
    this.count();
  }

  // The rest takes as long for its share as what is done took for its own.
  count() {
    if (!this.last) return;
    const { share, now } = this.last, done = share - this.first.share;
    const words = [say("share", { share: Math.floor(100 * share) })];
    if (done > TELLING) {
      const whole = (now - this.first.now) * (1 - share) / done;
      const left = Math.ceil((whole - (performance.now() - now)) / 1000);
      if (left > 90) words.push(say("minutes_left", { count: Math.round(left / 60) }));
      else if (left > 1) words.push(say("seconds_left", { count: left }));
    }
    this.left.textContent = words.join(", ");
  }

  // Lines of JSON until one says how long the zip is, or that there is none; then the zip.
  async received(reader) {
    let rest = new Uint8Array(), made = null, filled = 0;
    for (;;) {
      const { done, value } = await reader.read();
      if (value && made) { made.bytes.set(value, filled); filled += value.length; }
      else if (value) {
        rest = joined(rest, value);
        for (let end = rest.indexOf(10); end >= 0 && !made; end = rest.indexOf(10)) {
          const line = JSON.parse(new TextDecoder().decode(rest.subarray(0, end)));
          rest = rest.slice(end + 1);
          if (line.step) this.step(line);
          else if (line.zip === undefined) throw Object.assign(new Refused(line.errors));
          else {
            made = { name: line.name, errors: line.errors, bytes: new Uint8Array(line.zip) };
            made.bytes.set(rest);
            filled = rest.length;
          }
        }
      }
      if (!done) continue;
      if (!made || filled !== made.bytes.length) throw new TypeError("cut short");
      return made;
    }
  }
}

function joined(a, b) {
  const all = new Uint8Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
}
