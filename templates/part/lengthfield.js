// Refreshes the line below a length or number while it is typed. The server reads the text, so that the page and the record can never
// disagree about it; without a connection the line says so and never guesses.
const pause = 200; // ms without a key before asking

export class LengthField {
  constructor(el) {
    this.input = el.querySelector("input, textarea");
    this.say = el.querySelector(".read .say");
    this.sign = el.querySelector(".read .w");
    this.source = el.querySelector(".read .src");
    if (!this.input || !this.say) return;
    this.el = el;
    this.saved = this.input.value;
    this.input.addEventListener("input", () => this.later());
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), pause);
  }

  async ask() {
    this.asking?.abort();
    this.asking = new AbortController();
    const text = this.input.value;
    const query = new URLSearchParams({ text, key: this.el.dataset.key });
    try {
      const answer = await fetch(`/api/length?${query}`, { signal: this.asking.signal });
      if (answer.ok) this.show(await answer.json());
    } catch (err) {
      if (err.name !== "AbortError") this.show({ accepts: "no connection: read when it is saved" });
    }
  }

  show({ read = "", exact = "", problem = "", accepts = "" }) {
    this.el.classList.toggle("bad", problem !== "");
    if (this.sign) this.sign.toggleAttribute("hidden", problem === "");
    if (this.source) this.source.toggleAttribute("hidden", this.input.value !== this.saved);
    if (problem === "") this.input.removeAttribute("aria-invalid");
    else this.input.setAttribute("aria-invalid", "true");
    if (problem !== "" || read === "") {
      this.say.textContent = problem || accepts;
      return;
    }
    const value = document.createElement("b");
    value.textContent = read;
    this.say.replaceChildren("read as ", value, exact === "" ? "" : ` ${exact}`);
  }
}
