import { describe, expect, it } from "vitest";
import { hubsFrom } from "../../../src/tablet/link/hubs-from.ts";

describe("the hubs a page may go on at", () => {
  it("[Y19] begin with its own, and leave out what its browser would refuse", () => {
    const others = ["http://10.0.0.2:8080", "https://10.0.0.2:8443", "https://10.0.0.1:8443"];
    expect(hubsFrom("https://10.0.0.1:8443", others)).toEqual([
      "https://10.0.0.1:8443",
      "https://10.0.0.2:8443",
    ]);
    expect(hubsFrom("http://10.0.0.1:8080")).toEqual(["http://10.0.0.1:8080"]);
  });
});
