// The tools below the picture.

const LAYERS = ['ceiling', 'grid', 'pins'];

export class Tools {
  constructor(editor) {
    this.editor = editor;
    this.buttons = [...editor.el.querySelectorAll('[data-tool]')];
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

  /** show brings the tools in step: what cannot be done now is marked. */
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
  }
}
