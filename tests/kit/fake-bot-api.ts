/**
 * A Bot API on loopback: answers like Telegram, keeps what was called, checks every call against the
 * published description (../shared/bot-api.json) where that file is there, and fails on demand.
 */
import { existsSync, readFileSync } from "node:fs";
import type { Server } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import type { Message, Update } from "@grammyjs/types";
import express, { type Request, type Response } from "express";
import { projectFolder } from "../../src/knowledge/read.js";

/** How the next call goes wrong. `never`: no answer; `half`: cut off in the middle; `reset`: after it was read. */
export type FakeFault =
  | { kind: "429"; retryAfter: number }
  | { kind: "400" | "401" | "403" | "409" | "500" | "502" | "never" | "half" | "reset" };
export type Call = { method: string; params: Record<string, unknown>; token: string };
export type FakeBotApi = {
  /** For `apiRoot`. */
  root: string;
  calls: Call[];
  /** Breaches of the published description; empty is right. */
  wrong: string[];
  /** Whether there is a description to check against. */
  checked: boolean;
  /** Used up by the next calls in order. */
  faults: (FakeFault | undefined)[];
  /** Hands an update out to whoever asks, until what comes after it is asked for. */
  arrive(update: Update): void;
  /** Where updates are posted, as it was last set; what getWebhookInfo tells beside it. */
  webhook: { url: string; secret?: string; info: Record<string, unknown> };
  /** Texts that were accepted, in order, with their chats. */
  texts(): { chat: string; text: string }[];
  close(): Promise<void>;
};

type Field = {
  name: string;
  types: string[];
  required: boolean;
  length?: [number, number, "characters" | "bytes"];
};
type Shape = { fields: Field[]; subtypes?: string[] };
type Description = { methods: Record<string, Shape>; types: Record<string, Shape> };

const file = join(projectFolder(), "..", "shared", "bot-api.json");
export const description: Description | undefined = existsSync(file)
  ? (JSON.parse(readFileSync(file, "utf8")) as Description)
  : undefined;
if (!description) console.log(`requests to Telegram are not checked: there is no ${file}`);

/** Marks an uploaded file among the parameters. */
const upload = Symbol("upload");

function fits(spec: Description, type: string, value: unknown): boolean {
  if (type.startsWith("Array of "))
    return Array.isArray(value) && value.every((one) => fits(spec, type.slice(9), one));
  if (type === "Integer") return Number.isInteger(value);
  if (type === "Float") return typeof value === "number";
  if (type === "Boolean" || type === "True") return typeof value === "boolean";
  if (type === "String") return typeof value === "string";
  if (type === "InputFile") return value === upload;
  const shape = spec.types[type];
  if (!shape || typeof value !== "object" || value === null || Array.isArray(value)) return false;
  if (shape.subtypes?.length) return shape.subtypes.some((sub) => fits(spec, sub, value));
  return breaches(spec, shape, value as Record<string, unknown>, type).length === 0;
}

function breaches(
  spec: Description,
  shape: Shape,
  values: Record<string, unknown>,
  where: string,
): string[] {
  const found: string[] = [];
  for (const name of Object.keys(values))
    if (!shape.fields.some((f) => f.name === name)) found.push(`${where}.${name} does not exist`);
  for (const field of shape.fields) {
    const value = values[field.name];
    if (value === undefined) {
      if (field.required) found.push(`${where}.${field.name} is missing`);
      continue;
    }
    if (!field.types.some((type) => fits(spec, type, value)))
      found.push(`${where}.${field.name} is no ${field.types.join(" or ")}`);
    if (field.length && typeof value === "string") {
      const [least, most, unit] = field.length;
      const n = unit === "bytes" ? Buffer.byteLength(value) : value.length;
      if (n < least || n > most)
        found.push(`${where}.${field.name} has ${n} ${unit}; ${least} to ${most} are allowed`);
    }
  }
  return found;
}

/** What the published description has against a call; empty where it fits. */
export function callBreaches(
  spec: Description,
  method: string,
  params: Record<string, unknown>,
): string[] {
  const shape = spec.methods[method];
  return shape ? breaches(spec, shape, params, method) : [`${method} is no method`];
}

/** Fields of a multipart body as grammY writes it: a parameter points ("attach://id") at the part that holds the file. */
function multipart(body: Buffer, type: string): Record<string, unknown> {
  const boundary = /boundary=([^;]+)/.exec(type)?.[1] ?? "";
  const values = new Map<string, string>();
  const files = new Set<string>();
  for (const part of body.toString("latin1").split(`--${boundary}`)) {
    const name = /name="([^"]+)"/.exec(part)?.[1];
    if (name === undefined) continue;
    if (/filename=/.test(part)) files.add(name);
    else
      values.set(
        name,
        Buffer.from(part.slice(part.indexOf("\r\n\r\n") + 4, -2), "latin1").toString("utf8"),
      );
  }
  const found: Record<string, unknown> = {};
  for (const [name, value] of values) {
    const pointed = /^attach:\/\/(.+)$/.exec(value)?.[1];
    found[name] = pointed !== undefined && files.delete(pointed) ? upload : value;
  }
  for (const name of files) found[name] = upload;
  return found;
}

function fail(fault: FakeFault, response: Response): void {
  const no = (error_code: number, description: string, parameters?: object) =>
    response
      .status(error_code)
      .json({ ok: false, error_code, description, ...(parameters ? { parameters } : {}) });
  switch (fault.kind) {
    case "429":
      return void no(429, `Too Many Requests: retry after ${fault.retryAfter}`, {
        retry_after: fault.retryAfter,
      });
    case "400":
      return void no(400, "Bad Request: chat not found");
    case "401":
      return void no(401, "Unauthorized");
    case "409":
      return void no(
        409,
        "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running",
      );
    case "403":
      return void no(403, "Forbidden: bot was blocked by the user");
    case "500":
      return void no(500, "Internal Server Error");
    case "502":
      return void response.status(502).type("html").send("<html>bad gateway</html>");
    case "never":
      return;
    case "half":
      response.status(200).set("Content-Length", "400").type("json");
      response.write('{"ok":true,"res');
      return void setTimeout(() => response.socket?.destroy(), 20);
    case "reset":
      return void response.socket?.resetAndDestroy();
    default:
      fault satisfies never;
  }
}

/** Updates that wait; a question without news is held until one comes. */
function updateQueue() {
  const waiting: Update[] = [];
  let held: (() => void) | undefined;
  return {
    arrive(update: Update) {
      waiting.push(update);
      held?.();
    },
    getUpdates(offset: number, response: Response) {
      // What comes before the offset is confirmed with it (Bot API, getUpdates).
      while (waiting[0] && waiting[0].update_id < offset) waiting.shift();
      const answer = () => {
        held = undefined;
        if (!response.destroyed) response.json({ ok: true, result: waiting });
      };
      if (waiting.length > 0) answer();
      else held = answer;
    },
  };
}

/** Opens it on a free port of 127.0.0.1. */
export async function openFakeBotApi(): Promise<FakeBotApi> {
  const calls: Call[] = [];
  const accepted: { chat: string; text: string }[] = [];
  const wrong: string[] = [];
  const faults: (FakeFault | undefined)[] = [];
  const webhook: FakeBotApi["webhook"] = { url: "", info: {} };
  const { arrive, getUpdates } = updateQueue();
  let messageId = 0;
  const app = express();
  app.post(
    "/bot:token/:method",
    express.raw({ type: () => true, limit: "20mb" }),
    (request: Request, response: Response) => {
      const method = String(request.params.method);
      const type = request.get("content-type") ?? "";
      const raw = request.body as Buffer;
      const params = type.startsWith("multipart/")
        ? multipart(raw, type)
        : (JSON.parse(raw.toString("utf8") || "{}") as Record<string, unknown>);
      calls.push({ method, params, token: String(request.params.token) });
      if (description) wrong.push(...callBreaches(description, method, params));
      const fault = faults.shift();
      if (fault) {
        fail(fault, response);
        return;
      }
      if (method === "getFile") {
        const id = String(params.file_id);
        response.json({
          ok: true,
          result: { file_id: id, file_unique_id: id, file_path: `kept/${id}` },
        });
        return;
      }
      if (method.startsWith("send")) {
        const chat = Number(params.chat_id);
        const text =
          method === "sendMessage" ? String(params.text) : `[${method.slice(4).toLowerCase()}]`;
        accepted.push({ chat: String(chat), text });
        const result: Message.TextMessage = {
          message_id: ++messageId,
          date: 0,
          chat: { id: chat, type: "private", first_name: "x" },
          text,
          from: { id: 1, is_bot: true, first_name: "b" },
        };
        response.json({ ok: true, result });
        return;
      }
      if (method === "getUpdates") {
        if (webhook.url === "") return getUpdates(Number(params["offset"] ?? 0), response);
        const description = "Conflict: can't use getUpdates method while webhook is active";
        response.status(409).json({ ok: false, error_code: 409, description });
        return;
      }
      if (method === "getWebhookInfo") {
        const { url, info } = webhook;
        const result = { url, has_custom_certificate: false, pending_update_count: 0, ...info };
        response.json({ ok: true, result });
        return;
      }
      if (method === "deleteWebhook") webhook.url = "";
      if (method === "setWebhook")
        Object.assign(webhook, { url: params["url"], secret: params["secret_token"] });
      response.json({ ok: true, result: true });
    },
  );
  // Files lie beside the methods (Bot API, getFile).
  app.get("/file/bot:token/kept/:id", (request: Request, response: Response) => {
    response.send(Buffer.from(`file ${String(request.params.id)}`));
  });
  const server: Server = await new Promise((done) => {
    const listening = app.listen(0, "127.0.0.1", () => done(listening));
  });
  return {
    root: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    calls,
    wrong,
    checked: description !== undefined,
    faults,
    arrive,
    webhook,
    texts: () => accepted,
    close: () =>
      new Promise((done) => {
        server.close(() => done());
        server.closeAllConnections();
      }),
  };
}

/** An update with a text message from a private chat, as Telegram posts it. */
export function textUpdate(
  update_id: number,
  text: string,
  chat = 100,
  first_name = "Ann",
): Update {
  return {
    update_id,
    message: {
      message_id: update_id,
      date: 1_780_000_000,
      chat: { id: chat, type: "private", first_name },
      from: { id: chat, is_bot: false, first_name },
      text,
    },
  };
}
