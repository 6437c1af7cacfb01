// After signing out, what this browser keeps of surveys goes: pages and pictures that were opened. What waits to be sent stays.

const KEPT = /^(pages-|pictures$)/;

class SignIn {
  constructor(form) {
    if (new URLSearchParams(location.search).has('out')) this.forget();
    const empty = [...form.querySelectorAll('input:not([type="hidden"])')].find((input) => input.value === '');
    empty?.focus();
  }

  async forget() {
    for (const name of (await globalThis.caches?.keys()) ?? []) if (KEPT.test(name)) await caches.delete(name);
  }
}

for (const form of document.querySelectorAll('[data-widget="sign-in"]')) new SignIn(form);
