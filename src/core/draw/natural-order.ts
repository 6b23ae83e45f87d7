/** Compares texts so that numbers inside them count by value: `U2` before `U10`, `2` before `11`. Negative: `a` first. */
export function compareNatural(a: string, b: string): number {
  const left = pieces(a);
  const right = pieces(b);
  for (let i = 0; i < Math.max(left.length, right.length); i += 1) {
    const one = left[i] ?? "";
    const other = right[i] ?? "";
    if (one === other) continue;
    const difference = Number(one) - Number(other);
    if (!Number.isNaN(difference) && difference !== 0 && one !== "" && other !== "") return difference;
    return one < other ? -1 : 1;
  }
  return 0;
}

function pieces(text: string): string[] {
  return text.match(/\d+|\D+/g) ?? [];
}
