// The new link's buttons: one copies it, the other hands it to the phone's own way of sending. Without this script it is copied by hand.

class HandOver {
  constructor(el) {
    this.link = document.querySelector('#made-link');
    this.said = el.querySelector('[role="status"]');
    el.hidden = false;
    el.querySelector('[data-do="copy"]').addEventListener('click', () => this.copy());
    const send = el.querySelector('[data-do="send"]');
    send.hidden = !navigator.canShare?.({ url: this.link.value });
    send.addEventListener('click', () => navigator.share({ url: this.link.value }).catch(() => {})); // who closes the menu has not failed
  }

  async copy() {
    try {
      await navigator.clipboard.writeText(this.link.value);
      this.said.textContent = 'Copied.';
    } catch {
      this.link.select();
      this.said.textContent = 'Selected: copy it now.';
    }
  }
}

for (const el of document.querySelectorAll('[data-widget="hand-over"]')) new HandOver(el);
