import { createRandom } from "../../src/core/base/random.js";

/** A made-up layout in KiCad's format. */
export interface MadeLayout {
  readonly text: string;
  readonly parts: number;
  readonly pins: number;
}

/**
 * The text of a layout with `parts` two-row packages and `pins` pins in all, filled up with tracks and drawings to
 * `characters`, in the proportions of real ones: most of the text is copper and silk screen. Seeded.
 */
export function makeLayout(parts: number, pins: number, characters: number): MadeLayout {
  const random = createRandom(1984);
  const nets = Math.ceil(pins / 4);
  const lines = ["(kicad_pcb (version 20221018) (generator pcbnew)", '  (net 0 "")'];
  for (let net = 1; net <= nets; net += 1) lines.push(`  (net ${net} "${netName(net)}")`);
  let made = 0;
  for (let part = 1; part <= parts; part += 1) {
    const count = Math.round((pins * part) / parts) - made;
    made += count;
    lines.push(
      `  (footprint "Package_DIP:DIP-${count}_W7.62mm" (layer "F.Cu")`,
      `    (at ${(part % 16) * 20} ${Math.floor(part / 16) * 15} 90)`,
      `    (fp_text reference "U${part}" (at 0 0) (layer "F.SilkS") (effects (font (size 1 1) (thickness 0.15))))`,
      `    (fp_text value "74LS00" (at 0 2) (layer "F.Fab") (effects (font (size 1 1) (thickness 0.15))))`,
    );
    for (let line = 0; line < 12; line += 1)
      lines.push(
        `    (fp_line (start ${line} -1.39) (end ${line} 19.17) (stroke (width 0.12) (type solid)) (layer "F.SilkS"))`,
      );
    for (let pin = 1; pin <= count; pin += 1) {
      const net = 1 + random.below(nets);
      lines.push(
        `    (pad "${pin}" thru_hole oval (at 0 ${pin * 2.54}) (size 1.6 1.6) (drill 0.8) (layers "*.Cu" "*.Mask")`,
        `      (net ${net} "${netName(net)}") (pinfunction "P${pin}") (pintype "passive"))`,
      );
    }
    lines.push("  )");
  }
  lines.push('  (gr_rect (start -10 -10) (end 330 260) (layer "Edge.Cuts") (width 0.1))');
  let length = lines.reduce((sum, line) => sum + line.length + 1, 0);
  while (length < characters) {
    const [x, y] = [random.below(3300) / 10, random.below(2600) / 10];
    const line = `  (segment (start ${x} ${y}) (end ${x + 2.54} ${y}) (width 0.25) (layer "B.Cu") (net ${1 + random.below(nets)}) (tstamp 478c19eb-5c00-4469-a97b-76e775debfec))`;
    lines.push(line);
    length += line.length + 1;
  }
  lines.push(")", "");
  return { text: lines.join("\n"), parts, pins };
}

function netName(net: number): string {
  return net === 1 ? "GND" : net === 2 ? "+5V" : `/N${net}`;
}
