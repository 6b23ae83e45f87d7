/** Name of the cookie in which a paired device keeps its key. */
const cookieName = "bench-key";
const keptSeconds = 30 * 24 * 60 * 60;

/** The key in a `Cookie` header; undefined if there is none. */
export function readKey(header: string | undefined): string | undefined {
  for (const pair of (header ?? "").split(";")) {
    const [name = "", value] = pair.trim().split("=", 2);
    if (name === cookieName && value !== undefined && value !== "") return value;
  }
  return undefined;
}

/** `Set-Cookie` for a device's key: no script sees it, no other site's request carries it. */
export function keyCookie(key: string): string {
  return `${cookieName}=${key}; Path=/; HttpOnly; SameSite=Strict; Max-Age=${keptSeconds}`;
}

/** `Set-Cookie` that takes the key away. */
export function noKeyCookie(): string {
  return `${cookieName}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0`;
}
