import { z } from "zod";
import { type Device, deviceSchema, pairingSchema, statusSchema } from "../../app/api/access.js";
import { doneSchema } from "../../app/api/shapes.js";
import { BoardwakeError } from "../../core/base/errors.js";
import { keyCookie, noKeyCookie } from "../access/cookie.js";
import { type Caller, type Endpoint, endpoint, takesNothing } from "./endpoint.js";

function asDevice(
  { id, label, pairedAt, seenAt }: Omit<Device, "current">,
  caller: Caller,
): z.input<typeof deviceSchema> {
  return { id, label, pairedAt, seenAt, current: caller.kind === "device" && caller.device.id === id };
}

const accessOf = { host: "host", device: "paired", stranger: "unpaired" } as const;

/** Status, pairing and paired devices. */
export const accessEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/status",
      summary: "What this bench is, and whether the caller is paired",
      tag: "access",
      access: "anybody",
      answer: statusSchema,
      errors: [],
    },
    ({ parts, pairing }, { caller }) => ({
      body: {
        version: parts.version,
        sharing: parts.isShared,
        access: accessOf[caller.kind],
        device: caller.kind === "device" ? asDevice(caller.device, caller) : null,
        pairing:
          caller.kind === "host" && parts.isShared
            ? { code: pairing.code, addresses: [...parts.addresses()] }
            : null,
      },
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/pairing",
      summary: "Pair a device by the code that the bench shows; sets the device's cookie",
      tag: "access",
      access: "anybody",
      body: pairingSchema,
      answer: deviceSchema,
      errors: ["code-wrong", "tries-used-up"],
    },
    ({ pairing, hub }, { body }) => {
      const { device, key } = pairing.pair(body.code, body.label ?? "Device");
      hub.send({ type: "devices" });
      return { body: { ...device, current: true }, headers: { "set-cookie": keyCookie(key) } };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/devices",
      summary: "Paired devices",
      tag: "access",
      access: "paired",
      answer: z.array(deviceSchema),
      errors: [],
    },
    ({ pairing }, { caller }) => ({
      body: pairing.devices().map((device) => asDevice(device, caller)),
    }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "DELETE",
      path: "/devices/{id}",
      summary: "Let a device go; a device may let itself go, the bench's own machine any",
      tag: "access",
      access: "paired",
      params: z.object({ id: z.string().max(80) }),
      answer: doneSchema,
      errors: ["device-unknown", "host-only"],
    },
    ({ pairing, hub }, { params, caller }) => {
      const isOwn = caller.kind === "device" && caller.device.id === params.id;
      if (caller.kind !== "host" && !isOwn) throw new BoardwakeError("host-only", {});
      pairing.end(params.id);
      hub.send({ type: "devices" });
      return {
        body: { done: true as const },
        ...(isOwn ? { headers: { "set-cookie": noKeyCookie() } } : {}),
      };
    },
  ),
];
