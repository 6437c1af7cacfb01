// The tools below the picture, and the strip that says what has not been sent.

const LAYERS = ['ceiling', 'grid', 'pins'];

export class Tools {
  constructor(editor) {
    this.editor = editor;
    this.buttons = [...editor.el.querySelectorAll('[data-tool]')];
    this.strip = editor.find('waiting');
    const { stage } = editor, act = {
      undo: () => editor.step('undo'), redo: () => editor.step('redo'), ...Object.fromEntries(LAYERS.map((layer) => [layer, () => this.toggle(layer)])),
      in: () => stage.zoom(1.6), out: () => stage.zoom(1 / 1.6), whole: () => stage.whole(),
    };
    for (const b of this.buttons) b.addEventListener('click', () => act[b.dataset.tool]());
    stage.el.addEventListener('view', () => this.show());
  }

  // toggle hides a layer, to see what lies below it, and shows it again.
  toggle(layer) {
    this.editor.ceiling.toggle(layer);
    this.show();
  }

  /** show brings the tools in step: what cannot be done now is marked, what waits is counted. */
  show() {
    const { ceiling, layer, pins, placing, stage } = this.editor;
    if (Boolean(layer.hidden) === ceiling.on.pins) layer.hide(!ceiling.on.pins);
    const off = { undo: pins.done.length === 0 && placing.ends.length === 0, redo: pins.undone.length === 0, out: !stage.zoomed(), whole: !stage.zoomed() };
    for (const b of this.buttons) {
      if (b.dataset.tool in off) b.setAttribute('aria-disabled', off[b.dataset.tool]);
      if (!LAYERS.includes(b.dataset.tool)) continue;
      b.setAttribute('aria-pressed', ceiling.pressed(b.dataset.tool));
      b.setAttribute('aria-disabled', !ceiling.can(b.dataset.tool));
    }
    const waiting = pins.waiting();
    this.strip.hidden = waiting === 0;
    const words = waiting === 1 ? '1 pin not sent yet. It is kept on this phone and sent when there is a connection.' : `${waiting} pins not sent yet. They are kept on this phone and sent when there is a connection.`;
    const text = this.strip.querySelector('span');
    if (text.textContent !== words) text.textContent = words;
  }
}
