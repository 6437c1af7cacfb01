// The keyboard on the picture: arrows move the chosen pin by one pixel of the photo (with Shift by ten), or the cross hair while placing;
// Enter places, Delete deletes, Escape goes back one step, Ctrl+Z and Ctrl+Y undo and redo, + - 0 zoom.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const CROSS = 8; // px of the screen that the cross hair goes at a press

const typing = (el) => el.closest?.('input, select, textarea, [contenteditable]');

export class Keys {
  constructor(editor) {
    this.editor = editor;
    editor.stage.el.addEventListener('keydown', (e) => this.onStage(e));
    document.addEventListener('keydown', (e) => this.anywhere(e));
  }

  anywhere(e) {
    if (e.key === 'Escape' && this.editor.back()) e.preventDefault();
    if (!(e.ctrlKey || e.metaKey) || typing(e.target)) return;
    const key = e.key.toLowerCase();
    if (key === 'z' || key === 'y') {
      e.preventDefault();
      this.editor.step(key === 'y' || e.shiftKey ? 'redo' : 'undo');
    }
  }

  onStage(e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const { editor } = this, { placing, stage } = editor, held = e.target.closest('[data-pin]');
    const arrow = ARROWS[e.key], step = e.shiftKey ? 10 : 1;
    if (arrow && placing.armed()) placing.step(arrow[0] * CROSS * step, arrow[1] * CROSS * step);
    else if (arrow && (held || editor.layer.selected)) editor.moves.nudge(held?.dataset.pin ?? editor.layer.selected, arrow[0] * step, arrow[1] * step, Number(held?.dataset.end ?? 0));
    else if (arrow && stage.zoomed()) stage.pan(-arrow[0] * 40, -arrow[1] * 40);
    else if (e.key === 'Enter' && placing.armed() && e.target === stage.el) placing.enter();
    else if ((e.key === 'Enter' || e.key === ' ') && held) editor.choose(held.dataset.pin, true);
    else if ((e.key === 'Delete' || e.key === 'Backspace') && held) editor.remove(held.dataset.pin);
    else if (e.key === '+' || e.key === '=') stage.zoom(1.4);
    else if (e.key === '-') stage.zoom(1 / 1.4);
    else if (e.key === '0') stage.whole();
    else return;
    e.preventDefault();
  }
}
