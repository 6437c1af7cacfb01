// Keeps the place on the page over a change, and marks the figures that the change moved.
const SHOWN_MS = 4000;

class ChangedFigures {
  constructor(root) {
    this.root = root;
    this.key = `ceiling:${root.dataset.survey}`;
    const before = this.take();
    if (before) {
      this.restore(before.scroll);
      this.mark(before.figures);
    }
    const form = root.querySelector("form.change");
    if (form) form.addEventListener("submit", () => this.keep());
  }

  figures() {
    const texts = {};
    for (const el of this.root.querySelectorAll("[data-figure]")) texts[el.dataset.figure] = el.textContent.trim();
    return texts;
  }

  keep() {
    try {
      sessionStorage.setItem(this.key, JSON.stringify({ scroll: scrollY, figures: this.figures() }));
    } catch {
      // A browser without storage loses the marks, not the change.
    }
  }

  take() {
    try {
      const text = sessionStorage.getItem(this.key);
      sessionStorage.removeItem(this.key);
      return text ? JSON.parse(text) : null;
    } catch {
      return null;
    }
  }

  restore(scroll) {
    const problem = this.root.querySelector(".problem");
    if (!problem && Number.isFinite(scroll)) scrollTo({ top: scroll, behavior: "instant" });
  }

  mark(before) {
    const now = this.figures();
    for (const el of this.root.querySelectorAll("[data-figure]")) {
      const key = el.dataset.figure;
      if (before[key] === now[key]) continue;
      el.classList.add("moved");
      if (key in before) el.title = `was ${before[key]}`;
      setTimeout(() => el.classList.remove("moved"), SHOWN_MS);
    }
  }
}

for (const el of document.querySelectorAll("[data-widget=changed-figures]")) new ChangedFigures(el);
