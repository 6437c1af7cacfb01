// The outline's undo and redo: every state that a page has shown is kept for this tab, and a button sends one of them back. It works across a reload.

const KEPT = 50; // states; more than anybody takes back

class OutlineUndo {
  constructor(el) {
    this.key = `outline ${location.pathname}`;
    this.now = el.dataset.state;
    this.row = el.querySelector('[data-part="undo"]');
    if (!this.row) return;
    this.load();
    this.arrive();
    for (const button of this.row.querySelectorAll('[data-step]')) this.offer(button);
    this.row.hidden = false;
  }

  load() {
    const none = { past: [], future: [], last: null };
    try {
      this.kept = { ...none, ...JSON.parse(sessionStorage.getItem(this.key) ?? '{}') };
    } catch {
      this.kept = none;
    }
  }

  save() {
    try {
      sessionStorage.setItem(this.key, JSON.stringify(this.kept));
    } catch {
      sessionStorage.removeItem(this.key); // no room: there is nothing to undo then
    }
  }

  // arrive takes in the state that the server shows: a step back, a step forward again, or something new.
  arrive() {
    const { past, future, last } = this.kept;
    if (this.now === last) return;
    if (past.at(-1) === this.now) {
      past.pop();
      future.push(last);
    } else if (future.at(-1) === this.now) {
      future.pop();
      past.push(last);
    } else if (last !== null) {
      past.push(last);
      future.length = 0;
      if (past.length > KEPT) past.shift();
    }
    this.kept.last = this.now;
    this.save();
  }

  offer(button) {
    const list = button.dataset.step === 'undo' ? this.kept.past : this.kept.future, state = list.at(-1);
    button.disabled = state === undefined;
    button.form.elements.state.value = state ?? '';
  }
}

for (const el of document.querySelectorAll('[data-widget="outline"]')) new OutlineUndo(el);
