// Options and layers as they are asked for.
import { byId, element, fill, keepingFocus } from "./dom.js";
import { Ended, Refused } from "./engine.js";
import { command, optionsForm, tellWrong, tidied } from "./options.js";
import { keep } from "./settings.js";
import { now, say } from "./state.js";
import { work } from "./work.js";

/// A name as a pattern that is this name alone.
function pattern(name) {
  return name.replace(/[*?[\]{}\\]/g, "\\$&");
}

export function roleOf(layer) {
  if (now.options.skip?.includes(pattern(layer))) return "skip";
  return now.options.void_layers?.includes(pattern(layer)) ? "void" : "";
}

export function giveRole(layer, role) {
  const own = pattern(layer);
  const without = (list) => (list ?? []).filter((one) => one !== own);
  const [skip, voids] = [without(now.wanted.skip), without(now.wanted.void_layers)];
  if (role === "skip") skip.push(own);
  if (role === "void") voids.push(own);
  takeOptions({ ...now.wanted, skip, void_layers: voids }, true);
}

/// Measures again with other options; where they are refused says why beside the field. Whoever changes several quickly has the last
/// word with all of them.
async function takeOptions(given, isFormOld) {
  const wanted = tidied(given);
  const before = now.wanted;
  now.wanted = wanted;
  now.isHeld = true;
  if (now.isRunning) now.engine.replace(new Ended("again", "measured again"));
  try {
    await now.engine.ask({ do: "check", options: wanted });
  } catch (error) {
    if (wanted !== now.wanted) return;
    now.isHeld = false;
    if (error instanceof Refused) {
      now.wanted = before;
      tellWrong(error.option, error.message);
      say(`That cannot be used: ${error.message}`);
    }
    work();
    return;
  }
  if (wanted !== now.wanted) return;
  now.isHeld = false;
  tellWrong("", "");
  now.options = wanted;
  keep({ options: now.options });
  if (isFormOld) keepingFocus(buildOptions);
  for (const drawing of now.drawings) {
    if (drawing === now.current) {
      drawing.before ??= drawing.result;
      drawing.wanted = drawing.result?.sections[now.section]?.name;
    } else {
      drawing.result = undefined;
      drawing.read = undefined;
    }
    drawing.state = "waiting";
  }
  now.told = undefined;
  work();
}

export function buildOptions() {
  const form = optionsForm(now.options, now.seconds, {
    changed: (name, value) => takeOptions({ ...now.wanted, [name]: value }),
    limited: (value) => {
      now.seconds = value;
      keep({ seconds: now.seconds });
    },
  });
  fill(
    byId("panel-options"),
    element("h2", {}, "Options"),
    form,
    element("p", {}, element("button", { type: "button", id: "options-none", on: { click: () => takeOptions({}, true) } }, "Reset options")),
    element("div", { id: "differences", role: "status" }),
    element("h3", {}, "The same on a command line"),
    element("p", {}, element("code", { id: "command" }, command(now.options, now.current?.name ?? "drawing.dxf"))),
  );
}
