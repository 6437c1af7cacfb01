// The button that opens the browser's print dialog; without this script it stays hidden.
class PrintPage {
  constructor(button) {
    button.hidden = false;
    button.addEventListener("click", () => print());
  }
}

for (const el of document.querySelectorAll("[data-widget=print-page]")) new PrintPage(el);
