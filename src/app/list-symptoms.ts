import type { Board } from "../core/board/board.js";
import type { FindModel } from "../core/find/model/model.js";
import type { MachineObservable } from "../core/find/table/chain.js";
import type { Store } from "../store/store.js";

/** A symptom as the user picks it. */
export interface ListedSymptom {
  readonly id: string;
  /** What of the machine it is about: `picture`, `sound` and so on. */
  readonly observable: string;
  /** The same in words. */
  readonly title: string;
  readonly wording: string;
}

/** All symptoms there are, or with a board those that its file lets the reasoning use; in the order of the model. */
export function listSymptoms(store: Store, board?: Board): ListedSymptom[] {
  return symptomsOfModel(store.data.findModel(), board);
}

/** As `listSymptoms`, from a model at hand. */
export function symptomsOfModel(model: FindModel, board?: Board): ListedSymptom[] {
  const described = board === undefined ? undefined : describedObservables(board);
  return model.symptoms
    .filter(({ observable }) => described?.has(observable) !== false)
    .map(({ id, observable, wording }) => {
      const title = model.observables.find((one) => one.id === observable)?.title ?? observable;
      return { id, observable, title, wording };
    });
}

/** What of the machine a board file describes. */
function describedObservables({ chain }: Board): ReadonlySet<string> {
  const described: readonly [MachineObservable, boolean][] = [
    ["picture", chain.picture !== undefined],
    ["sound", chain.sound !== undefined],
    ["keys", chain.keys !== undefined],
    ["reaction", chain.keys !== undefined],
    ["memory-figure", chain.memoryFigure],
    ["tape", chain.tape !== undefined],
    ["lamp", chain.lamp !== undefined],
    ["whole", true],
  ];
  return new Set(described.flatMap(([name, is]) => (is ? [name] : [])));
}
