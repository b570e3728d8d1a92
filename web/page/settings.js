// What stays in the browser: options, the last tab, the last view of a drawing. Where the browser refuses to keep it, the page
// works without.

const PLACE = "tracearm-page";

function store() {
  try {
    return window.localStorage;
  } catch {
    return undefined;
  }
}

/// What was kept, if it can be understood.
export function kept() {
  try {
    const value = JSON.parse(store()?.getItem(PLACE) ?? "{}");
    return typeof value === "object" && value !== null && !Array.isArray(value) ? value : {};
  } catch {
    return {};
  }
}

/// Keeps values beside those that are kept.
export function keep(values) {
  try {
    store()?.setItem(PLACE, JSON.stringify({ ...kept(), ...values }));
  } catch {
    // Nothing is kept then.
  }
}
