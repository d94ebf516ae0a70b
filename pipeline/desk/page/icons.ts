// Small drawings on a field of 24 by 24, in the colour of the text around them.
const lines: Record<string, string> = {
  play: "M7 4v16l13-8z",
  pause: "M7 4h4v16H7zM14 4h4v16h-4z",
  frameBack: "M15.5 4.5 17 6l-6 6 6 6-1.5 1.5L8 12z",
  frameOn: "M8.5 4.5 7 6l6 6-6 6 1.5 1.5L16 12z",
  changeBack: "M18 5v14l-10-7zM5 5h2.5v14H5z",
  changeOn: "M6 5v14l10-7zM16.5 5H19v14h-2.5z",
  loop: "M7 6h9a4 4 0 0 1 4 4v1h-2v-1a2 2 0 0 0-2-2H7v3L2.5 7 7 3zM17 18H8a4 4 0 0 1-4-4v-1h2v1a2 2 0 0 0 2 2h9v-3l4.5 4-4.5 4z",
  sound: "M3 9h4l6-5v16l-6-5H3zM16 8.5a5 5 0 0 1 0 7v-7zM16 4a9 9 0 0 1 0 16v-2.1a7 7 0 0 0 0-11.8z",
  silent: "M3 9h4l6-5v16l-6-5H3zM16 9.4 17.4 8 19.5 10.1 21.6 8 23 9.4 20.9 11.5 23 13.6 21.6 15 19.5 12.9 17.4 15 16 13.6 18.1 11.5z",
  undo: "M9 4v4h6a5 5 0 0 1 0 11H7v-2.2h8a2.8 2.8 0 0 0 0-6.6H9V14L3.5 9z",
  redo: "M15 4v4H9a5 5 0 0 0 0 11h8v-2.2H9a2.8 2.8 0 0 1 0-6.6h6V14l5.5-5z",
  error: "M8 2h8l6 6v8l-6 6H8l-6-6V8zM11 6v8h2V6zm0 10v2.2h2V16z", // an octagon
  warning: "M12 2.5 23 21.5H1zM11 9v6h2V9zm0 8v2h2v-2z", // a triangle
  advice: "M12 2a10 10 0 1 1 0 20 10 10 0 0 1 0-20zM11 10v7.5h2V10zm0-4v2.2h2V6z", // a circle
};

export function icon(name: string): SVGElement {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  svg.setAttribute("viewBox", "0 0 24 24");
  svg.setAttribute("class", "icon");
  svg.setAttribute("aria-hidden", "true");
  path.setAttribute("d", lines[name] ?? "");
  path.setAttribute("fill-rule", "evenodd");
  svg.append(path);
  return svg;
}
