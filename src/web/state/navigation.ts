import { addressOf, parseRoute, type Route } from "./route.js";
import { createStore, type Store } from "./store.js";

/** The page shown now; follows the address. */
export const currentRoute: Store<Route> = createStore(parseRoute(location.hash));
addEventListener("hashchange", () => currentRoute.set(parseRoute(location.hash)));

/** Goes to a page. */
export function goTo(route: Route): void {
  location.hash = addressOf(route);
}
