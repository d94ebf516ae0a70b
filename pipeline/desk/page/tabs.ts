// Folder tabs of the right side.
import { bind } from "./keys";
import { el } from "./page";
import type { Page, Panel } from "./page";

export class Tabs {
  private readonly list = el("div", { class: "tabs", role: "tablist", "aria-label": "Panels" });
  private readonly bodies = el("div", { class: "panels" });
  readonly element = el("div", { class: "folder" }, this.list, this.bodies);
  private readonly tabs: { panel: Panel; tab: HTMLButtonElement; count: HTMLElement; body: HTMLElement }[] = [];

  constructor() {
    this.list.addEventListener("keydown", (event) => {
      const at = this.tabs.findIndex(({ tab }) => tab === document.activeElement);
      const last = this.tabs.length - 1;
      const to = { ArrowLeft: at ? at - 1 : last, ArrowRight: at < last ? at + 1 : 0, Home: 0, End: last }[event.key];
      if (at < 0 || to === undefined) return;
      event.preventDefault();
      this.show(to);
      this.tabs[to]!.tab.focus();
    });
  }

  add(panel: Panel, page: Page): void {
    const at = this.tabs.length;
    const count = el("span", { class: "count" });
    const tab = el("button", { type: "button", role: "tab", id: `tab-${at}`, "aria-controls": `panel-${at}`, onclick: () => this.show(at) }, panel.name, count);
    const body = el("div", { class: "tab-body", role: "tabpanel", id: `panel-${at}`, "aria-labelledby": `tab-${at}`, "data-panel": panel.name, tabIndex: 0 }, panel.build(page));
    this.tabs.push({ panel, tab, count, body });
    this.list.append(tab);
    this.bodies.append(body);
    if (at < 9) bind(String(at + 1), `Panel ${panel.name}`, () => { this.show(at); tab.focus(); });
    this.show(0);
  }

  open(name: string): void {
    const at = this.tabs.findIndex(({ panel }) => panel.name === name);
    if (at >= 0) this.show(at);
  }

  count(name: string, number: number): void {
    const found = this.tabs.find(({ panel }) => panel.name === name);
    if (found) found.count.textContent = number ? ` ${number}` : "";
  }

  private show(at: number): void {
    if (this.tabs[at]?.body.hidden) this.bodies.scrollTop = 0; // each panel begins at its top
    this.tabs.forEach(({ tab, body }, i) => {
      tab.setAttribute("aria-selected", String(i === at));
      tab.tabIndex = i === at ? 0 : -1;
      body.hidden = i !== at;
    });
  }
}
