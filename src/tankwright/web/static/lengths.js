// A length as the drawing writes it, in the reader's units.

export function words(metres, svg) {
  if (svg.dataset.display === "US") {
    const inches = Math.round(metres / 0.0254);
    return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
  }
  return metres < 2 ? `${Math.round(metres * 100)} cm` : `${metres.toFixed(2)} m`;
}

// The same to the millimetre, or the eighth of an inch, for what is drilled.
export function fine(metres, svg) {
  if (svg.dataset.display !== "US") return `${Math.round(metres * 1000)} mm`;
  const eighths = Math.round(metres / 0.0254 * 8);
  const [whole, rest] = [Math.floor(eighths / 8), eighths % 8];
  const part = rest % 4 === 0 ? `${rest / 4}/2` : rest % 2 === 0 ? `${rest / 2}/4` : `${rest}/8`;
  return `${[whole || !rest ? whole : "", rest ? part : ""].filter((one) => one !== "").join(" ")} in`;
}
