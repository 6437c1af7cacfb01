// The widgets that several pages share, started on the elements that name them.
import { LengthField } from "./lengthfield.js";
import { KeepForm } from "./keepform.js";
import { PrintPage } from "./printpage.js";
import { WaitStrip } from "../offline/strip.js";

const widgets = { "length-field": LengthField, "keep-form": KeepForm, "print-page": PrintPage, "wait-strip": WaitStrip };

for (const el of document.querySelectorAll("[data-widget]")) {
  const Widget = widgets[el.dataset.widget];
  if (Widget) new Widget(el);
}

// A form that came back says first what is wrong with it.
document.querySelector(".problem")?.focus();
