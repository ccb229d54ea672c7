import fastify from "fastify";
import { expect, it } from "vitest";
import * as z from "zod/mini";
import { atDoor } from "../../../src/hub/door/at-door.ts";

it("[H166] tells at a door what the door says that it tells, and parses what it is asked", async () => {
  const hub = fastify();
  const door = {
    method: "POST",
    path: "/api/gradings/:grading/greet",
    where: z.object({ grading: z.string() }),
    asks: z.object({ name: z.string().check(z.trim(), z.minLength(1)) }),
    tells: z.object({ greeting: z.string() }),
  } as const;
  atDoor(hub, door, {}, ({ grading, name }) => {
    const row = { greeting: `${name} of ${grading}`, tokenHash: "secret" };
    return row;
  });
  const asked = (payload: object) =>
    hub.inject({ method: "POST", url: "/api/gradings/g1/greet", payload });
  expect((await asked({ name: " Ida ", more: 1 })).json()).toEqual({ greeting: "Ida of g1" });
  expect((await asked({ name: " " })).statusCode).toBe(500);
  await hub.close();
});
