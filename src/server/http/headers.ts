/** Headers of every answer: only this bench's own files may run, and nobody may frame or guess anything. */
export const safeHeaders: Readonly<Record<string, string>> = {
  "content-security-policy": [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data: blob:",
    "font-src 'self'",
    "connect-src 'self'",
    "manifest-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join("; "),
  "x-content-type-options": "nosniff",
  "referrer-policy": "no-referrer",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "same-origin",
  // The tape page records from the line input, once the user has allowed it.
  "permissions-policy": "camera=(), microphone=(self), geolocation=(), payment=(), usb=()",
};
