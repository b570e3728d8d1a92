// The mesh and the contour lines of torsion over the chosen section, where its constants were asked for.
import { Curves } from "./curves.js";
import { byId } from "./dom.js";
import { Refused } from "./engine.js";
import { now, say } from "./state.js";

/// What the curves belong to, as the engine hands them over.
export const MESH = 0;
export const CONTOURS = 1;

/// Asks for the lines where they are wanted and not there yet.
export async function askTorsion() {
  const { current, section, told } = now;
  if (!told?.fieldCaution || !now.isTorsionShown || now.torsion) return;
  try {
    const answer = await now.engine.ask({ do: "field", index: section });
    // Another section was chosen meanwhile, or the same anew.
    if (told !== now.told || current !== now.current) return;
    const { words } = JSON.parse(new TextDecoder().decode(answer.output));
    now.torsion = { curves: new Curves(answer), words };
    tellTorsion();
    now.stage.recoloured();
  } catch (error) {
    if (error instanceof Refused) say(error.message);
  }
}

/// Shows the lines or hides them.
export function showTorsion(isShown) {
  now.isTorsionShown = isShown;
  tellTorsion();
  now.stage.recoloured();
  askTorsion();
}

/// Says beside their switch what the lines are.
export function tellTorsion() {
  const place = byId("torsion-words");
  if (place) place.textContent = now.isTorsionShown && now.torsion ? `On the drawing: ${now.torsion.words.join("; ")}.` : "";
}
