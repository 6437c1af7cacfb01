// The button that opens the browser's print dialog; without this script it stays hidden.
export class PrintPage {
  constructor(button) {
    button.hidden = false;
    button.addEventListener("click", () => print());
  }
}
