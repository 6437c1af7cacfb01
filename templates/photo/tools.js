// The tools below the picture, and the strip that says what has not been sent.

export class Tools {
  constructor(editor) {
    this.editor = editor;
    this.buttons = [...editor.el.querySelectorAll('[data-tool]')];
    this.strip = editor.find('waiting');
    const { stage } = editor, act = {
      undo: () => editor.step('undo'), redo: () => editor.step('redo'), pins: () => this.toggle(),
      in: () => stage.zoom(1.6), out: () => stage.zoom(1 / 1.6), whole: () => stage.whole(),
    };
    for (const b of this.buttons) b.addEventListener('click', () => act[b.dataset.tool]());
    stage.el.addEventListener('view', () => this.show());
  }

  // toggle hides the pins, to see what lies below them, and shows them again.
  toggle() {
    const { editor } = this;
    editor.hidden = !editor.hidden;
    editor.layer.hide(editor.hidden);
    this.show();
  }

  /** show brings the tools in step: what cannot be done now is marked, what waits is counted. */
  show() {
    const { pins, placing, stage, hidden } = this.editor;
    const off = { undo: pins.done.length === 0 && placing.ends.length === 0, redo: pins.undone.length === 0, out: !stage.zoomed(), whole: !stage.zoomed() };
    for (const b of this.buttons) {
      if (b.dataset.tool in off) b.setAttribute('aria-disabled', off[b.dataset.tool]);
      if (b.dataset.tool === 'pins') b.setAttribute('aria-pressed', !hidden);
    }
    const waiting = pins.waiting();
    this.strip.hidden = waiting === 0;
    const words = waiting === 1 ? '1 pin not sent yet. It stays on this page and is tried again.' : `${waiting} pins not sent yet. They stay on this page and are tried again.`;
    const text = this.strip.querySelector('span');
    if (text.textContent !== words) text.textContent = words;
  }
}
