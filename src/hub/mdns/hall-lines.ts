import { BlockList } from "node:net";
import { networkInterfaces } from "node:os";
import multicastDns, { type From, type Packet } from "multicast-dns";

/** The group and the port of RFC 6762 section 3 are the library's; so is the hop limit of 255, which no router passes on to multicast. */
const MDNS_PORT = 5353;

/** One network that this machine is in, to speak to everybody in it and to nobody beyond. */
export interface HallLine {
  /** This machine's there. */
  readonly address: string;
  /** From which everybody speaks who speaks multicast DNS. */
  readonly port: number;
  /** Whether an address is in that network; what others send is not for us (RFC 6762 section 11). */
  isNear(address: string): boolean;
  /** To everybody, or to one. */
  send(packet: Packet, to?: From): void;
  onPacket(listener: (packet: Packet, from: From) => void): void;
  close(): void;
}

/**
 * A line into each network of this machine. The port is shared with whatever responder the system has, which answers for the machine's own name.
 * What cannot be opened, such as a port that another program keeps to itself, is left out without a word: a hub is reached by its address.
 */
export async function openHallLines(
  isIn: (address: string) => boolean,
  port = MDNS_PORT,
): Promise<HallLine[]> {
  const lines = await Promise.all(
    Object.values(networkInterfaces())
      .flatMap((all) => all ?? [])
      .filter(({ family, address }) => family === "IPv4" && isIn(address))
      .map(({ address, cidr }) => openLine(address, cidr, port)),
  );
  return lines.filter((line) => line !== undefined);
}

function openLine(
  address: string,
  cidr: string | null,
  port: number,
): Promise<HallLine | undefined> {
  const near = new BlockList();
  const [network = address, prefix = "32"] = (cidr ?? `${address}/32`).split("/");
  near.addSubnet(network, Number(prefix), "ipv4");
  const line = multicastDns({ interface: address, bind: "0.0.0.0", port });
  let isJoined = false;
  line.on("networkInterface", () => {
    isJoined = true;
  });
  // A network that goes away later on: nothing here may stop a hub.
  line.on("warning", () => undefined);
  return new Promise((resolve) => {
    line.on("error", () => resolve(undefined));
    line.on("ready", () => {
      if (!isJoined) {
        line.destroy();
        resolve(undefined);
        return;
      }
      resolve({
        address,
        port,
        isNear: (other) => near.check(other, "ipv4"),
        send(packet, to) {
          if (packet.type === "query") line.query(packet);
          else line.respond(packet, to);
        },
        onPacket(listener) {
          line.on("packet", listener);
        },
        // What was sent last, the farewell, is on its way by then.
        close: () => void setImmediate(() => line.destroy()),
      });
    });
  });
}
