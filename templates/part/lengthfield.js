// Refreshes the line below a length or number while it is typed. The server reads the text, so that the page and the record can never
// disagree about it; without a connection the line says so and never guesses. A length that does not suit what it names is asked about beside the
// field; to go on is an answer, and is sent along as one.

import { html } from "../photo/dom.js";
import { LengthPad } from "./lengthpad.js";
import { caution } from "./padview.js";

const pause = 200; // ms without a key before asking

export class LengthField {
  constructor(el) {
    this.input = el.querySelector("input, textarea");
    this.el = el;
    if (!this.input || !this.part(".say")) return;
    this.saved = this.input.value;
    this.input.addEventListener("input", () => this.later());
    LengthPad.serve(this);
  }

  // part is a piece of the line below; the line may have been written anew since.
  part(selector) { return this.el.querySelector(`.read ${selector}`); }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), pause);
  }

  async ask() {
    this.asking?.abort();
    this.asking = new AbortController();
    const text = this.input.value;
    const query = new URLSearchParams({ text, key: this.el.dataset.key, names: this.names() });
    try {
      const answer = await fetch(`/api/length?${query}`, { signal: this.asking.signal });
      if (answer.ok) this.show(await answer.json());
    } catch (err) {
      if (err.name !== "AbortError") this.show({ accepts: "no connection: read when it is saved" });
    }
  }

  show({ read = "", exact = "", problem = "", accepts = "", check = null }) {
    this.el.classList.toggle("bad", problem !== "");
    this.part(".w")?.toggleAttribute("hidden", problem === "");
    this.part(".src")?.toggleAttribute("hidden", this.input.value !== this.saved);
    if (problem === "") this.input.removeAttribute("aria-invalid");
    else this.input.setAttribute("aria-invalid", "true");
    this.doubt(check);
    const say = this.part(".say");
    if (problem !== "" || read === "") {
      say.textContent = problem || accepts;
      return;
    }
    const value = document.createElement("b");
    value.textContent = read;
    say.replaceChildren("read as ", value, exact === "" ? "" : ` ${exact}`);
  }

  // doubt shows the server's question about the length, or takes it away; about what its keys type, the pad asks.
  doubt(check) {
    this.el.querySelector(".check-length")?.remove();
    if (!check || this.isRight() || LengthPad.asks(this)) return;
    this.right();
    const ways = (check.ways ?? []).map(({ text, read }) => [read, () => this.take(text)]);
    this.el.append(html("div", { class: "check-length", role: "status" }, caution(check.head, [`${check.why} Nothing was changed.`], [...ways, [check.keep, () => this.doubt(null)]])));
  }

  take(text) {
    this.input.value = text;
    this.input.dispatchEvent(new Event("input", { bubbles: true }));
    this.doubt(null);
    this.input.focus();
  }

  /** label is what the field is called, as pieces to show elsewhere. */
  label() { return [...this.el.querySelector(".lab").childNodes].map((node) => node.cloneNode(true)); }

  /** line is what stands below the field. */
  line() { return this.part(".say").textContent; }

  // names is the answer to what the length measures, in forms that ask.
  names() { return this.input.form?.elements["v.names"]?.value ?? ""; }

  /** range is what the field's length is asked about outside of, in inches, and why; high 0 is no bound. */
  range() {
    const { low = 0, high = 0, why = "", ranges = "{}" } = this.el.dataset, named = JSON.parse(ranges)[this.names()];
    return named ? { low: named[0], high: named[1], why: named[2] } : { low: Number(low), high: Number(high), why };
  }

  /** question is what is asked about a length outside of the range. */
  question(reads, ways) {
    const name = this.el.querySelector(".lab").firstChild.textContent.trim();
    return { head: `${name} ${reads}: ${ways.length ? `or ${ways.join(" or ")}` : "is it right"}?`, why: this.range().why };
  }

  /** isRight tells whether the text as it stands was said to be right. */
  isRight() { return this.said()?.value === this.input.value; }

  /** right says that the text as it stands is right, whatever its range. */
  right() {
    const said = this.said() ?? html("input", { type: "hidden", name: `right.${this.input.name}` });
    if (!said.isConnected) this.el.append(said);
    said.value = this.input.value;
    if (said.type === "checkbox") said.checked = true;
  }

  said() { return [...this.el.querySelectorAll("input")].find((el) => el.name === `right.${this.input.name}`); }
}
