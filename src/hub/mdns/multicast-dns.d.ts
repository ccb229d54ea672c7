declare module "multicast-dns" {
  import type { EventEmitter } from "node:events";

  /** Only what a hub uses of it. */
  function multicastDns(options: {
    interface: string;
    bind: string;
    port: number;
  }): multicastDns.Line;

  namespace multicastDns {
    interface Question {
      name: string;
      type: string;
    }
    interface ServiceData {
      port: number;
      target: string;
      weight?: number;
      priority?: number;
    }
    /** A resource record; `flush` is the cache-flush bit of RFC 6762 section 10.2. */
    type Rr = { name: string; ttl?: number; flush?: boolean } & (
      | { type: "A" | "PTR"; data: string }
      | { type: "SRV"; data: ServiceData }
      | { type: "TXT"; data: string | Buffer | readonly (string | Buffer)[] }
      | { type: "NSEC"; data: { nextDomain: string; rrtypes: string[] } }
    );
    interface Packet {
      type?: "query" | "response";
      id?: number;
      questions?: readonly Question[];
      answers?: readonly Rr[];
      authorities?: readonly Rr[];
      additionals?: readonly Rr[];
    }
    interface From {
      address: string;
      port: number;
    }
    interface Line extends EventEmitter {
      query(packet: Packet): void;
      respond(packet: Packet, to?: From): void;
      destroy(): void;
    }
  }
  export = multicastDns;
}
