import { afterEach, describe, expect, it, vi } from "vitest";
import type { DeviceId, GradingId } from "../../../src/book/identity.ts";
import { httpHubDesk } from "../../../src/tablet/link/http-hub-desk.ts";

const asked: { url: string; init: RequestInit | undefined }[] = [];
const answers = (body: unknown, status = 200) =>
  vi.stubGlobal("fetch", async (url: URL, init?: RequestInit) => {
    asked.push({ url: String(url), init });
    return new Response(typeof body === "string" ? body : JSON.stringify(body), { status });
  });
afterEach(() => {
  asked.length = 0;
  vi.unstubAllGlobals();
});
const desk = httpHubDesk("http://hall.local:8080");
const token = "a-token";

describe("the hub's doors, from a tablet", () => {
  it("[Y199] are asked by their path, with what stands in it, a body and a token", async () => {
    answers({ device: "spare", state: "refused" });
    await desk.refuse(token, "grading 1" as GradingId, "a/b" as DeviceId);
    expect(asked[0]?.url).toBe(
      "http://hall.local:8080/api/gradings/grading%201/devices/a%2Fb/refuse",
    );
    expect(asked[0]?.init).toMatchObject({
      method: "POST",
      headers: { authorization: "Bearer a-token", "content-type": "application/json" },
      body: "{}",
    });
  });

  it("[Y199] tell what is known of them, and leave out what another year's hub adds", async () => {
    answers({ code: "abcd", addresses: ["http://10.0.0.2:8080"], mood: "calm" });
    expect(await desk.code(token, "grading-1" as GradingId)).toEqual({
      ok: true,
      code: "abcd",
      addresses: ["http://10.0.0.2:8080"],
    });
  });

  it("[Y199] are no hub's where the answer is of another shape, is no JSON or does not come", async () => {
    const unreachable = { ok: false, fault: { code: "HUB_UNREACHABLE" } };
    for (const body of ["<html>", "null", {}, { code: 7, addresses: [] }, { code: "a" }]) {
      answers(body);
      expect(await desk.code(token, "grading-1" as GradingId)).toEqual(unreachable);
    }
    answers({ code: "NO_SUCH_CODE" }, 403);
    expect(await desk.code(token, "grading-1" as GradingId)).toEqual(unreachable);
    vi.stubGlobal("fetch", () => Promise.reject(new TypeError("no network")));
    expect(await desk.code(token, "grading-1" as GradingId)).toEqual(unreachable);
    expect(await desk.bringBack(token, new Blob())).toEqual(unreachable);
  });

  it("[Y199] tell a fault with what its sentence needs", async () => {
    const fault = { code: "COPY_NOT_HERE", with: { why: "used" } };
    answers(fault, 409);
    expect(await desk.bringBack(token, new Blob())).toEqual({ ok: false, fault });
  });
});
