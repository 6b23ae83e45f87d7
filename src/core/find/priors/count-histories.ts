import type { CountedHistories, RepairHistory } from "./field-data.js";

/**
 * Counts of fault classes, kinds of machine and separate faults. Only numbers and case ids leave the histories.
 * Lists are sorted by name or number, so that equal histories in another order give equal counts.
 */
export function countHistories(histories: readonly RepairHistory[]): CountedHistories {
  const machineFamilies = new Map<string, string[]>();
  const classes = new Map<string, { main: number; any: string[] }>();
  const separateFaults = new Map<number, string[]>();
  for (const history of histories) {
    listOf(machineFamilies, history.machine_family).push(history.id);
    listOf(separateFaults, 1 + history.additional_faults.length).push(history.id);
    for (const name of new Set(history.fault_classes)) {
      const key = name.replaceAll("_", "-");
      const entry = classes.get(key) ?? { main: 0, any: [] };
      classes.set(key, entry);
      entry.any.push(history.id);
      if (name === history.fault_classes[0]) entry.main += 1;
    }
  }
  return {
    histories: histories.length,
    machineFamilies: sorted(machineFamilies).map(([machineFamily, cases]) => ({
      machineFamily,
      cases: cases.sort(),
    })),
    classes: sorted(classes).map(([name, { main, any }]) => ({ class: name, main, any: any.sort() })),
    separateFaults: [...separateFaults]
      .sort(([a], [b]) => a - b)
      .map(([faults, cases]) => ({ faults, cases: cases.sort() })),
  };
}

function listOf<K>(lists: Map<K, string[]>, key: K): string[] {
  const list = lists.get(key) ?? [];
  lists.set(key, list);
  return list;
}

function sorted<V>(map: ReadonlyMap<string, V>): [string, V][] {
  return [...map].sort(([a], [b]) => (a < b ? -1 : 1));
}

/** Mean number of separate faults of a counted machine; at least 1. */
export function meanSeparateFaults(counted: CountedHistories): number {
  const total = counted.separateFaults.reduce((sum, row) => sum + row.faults * row.cases.length, 0);
  return total / counted.histories;
}

/** Share of counted machines with more than one separate fault. */
export function multipleFaultShare(counted: CountedHistories): number {
  const several = counted.separateFaults.filter((row) => row.faults > 1);
  return several.reduce((sum, row) => sum + row.cases.length, 0) / counted.histories;
}
