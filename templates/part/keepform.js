// Asks before a page with unsaved typing is left.
export class KeepForm {
  constructor(form) {
    this.changed = form.hasAttribute("data-unsaved");
    form.addEventListener("input", () => { this.changed = true; });
    form.addEventListener("submit", () => { this.changed = false; });
    addEventListener("beforeunload", (event) => {
      if (this.changed) event.preventDefault();
    });
  }
}
