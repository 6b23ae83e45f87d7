/** Longest side of a picture as it is sent, in pixels: a pin is then still some ten pixels wide. */
const longestSide = 3200;
const quality = 0.88;

/**
 * A picture made upright and small enough to be sent, as base64 of a JPEG. It is drawn anew, so nothing that a camera
 * wrote beside the picture leaves this device. Rejects for a file that is no picture.
 */
export async function shrinkPhoto(file: File): Promise<string> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, longestSide / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const context = canvas.getContext("2d", { alpha: false });
  if (context === null) throw new Error("this browser cannot draw pictures");
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const address = canvas.toDataURL("image/jpeg", quality);
  return address.slice(address.indexOf(",") + 1);
}
