/**
 * A random id for something this page adds: a version 4 UUID (RFC 9562, section 5.4) in lower case.
 * `crypto.randomUUID` would do, but browsers withhold it from a page that a shared bench serves without encryption.
 */
export function newClientId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const hex = [...bytes].map((byte, i) => {
    if (i === 6) return ((byte & 0x0f) | 0x40).toString(16).padStart(2, "0");
    if (i === 8) return ((byte & 0x3f) | 0x80).toString(16).padStart(2, "0");
    return byte.toString(16).padStart(2, "0");
  });
  const part = (from: number, to: number): string => hex.slice(from, to).join("");
  return [part(0, 4), part(4, 6), part(6, 8), part(8, 10), part(10, 16)].join("-");
}
