import type { Dice } from "./dice.ts";
import type { Life, Timeline } from "./timeline.ts";

/** Where a machine stands in the air of the hall. */
export interface Station {
  /** Nothing comes through in either direction, and nobody is told. */
  isCutOff: boolean;
  /** How many times longer everything takes on its way. */
  slowness: number;
}
/** Who answers at the hub's address. */
export interface Answering {
  life: Life;
  accept(socket: HubSocket): void;
}
type Listener = (data: string) => void;
interface Parcel {
  deliver: () => void;
  /** Called when it is out of the sender's buffer. */
  sent?: (() => void) | undefined;
}

const TOKEN = /"token":"[^"]*"/;

const CONNECTING = 0;
const OPEN = 1;
const CLOSING = 2;
const CLOSED = 3;
/** Milliseconds on the air, one way. */
const AIR = { least: 1, most: 40 };
/** A browser gives up a dial or a closing that nobody answers, milliseconds. */
const GIVES_UP = { least: 1500, most: 4000 };

/**
 * The hall's network: connections that keep their order, as TCP does, and lose everything in flight when they die.
 * While a station is cut off, what it sends and is sent waits; when it is back the rest arrives late, or the connection is dead.
 */
export class Network {
  readonly time: Timeline;
  readonly dice: Dice;
  readonly note: (what: string) => void;
  /** Who answers, or did, at each address. */
  readonly #hubs = new Map<string, Answering>();
  readonly #connections = new Set<Connection>();
  #made = 0;

  constructor(time: Timeline, dice: Dice, note: (what: string) => void) {
    this.time = time;
    this.dice = dice;
    this.note = note;
  }

  answers(address: string, answering: Answering): void {
    this.#hubs.set(address, answering);
  }
  /** Whom a dial comes to; undefined before there is anybody. */
  at(address: string): Answering | undefined {
    return this.#hubs.get(address);
  }

  dial(station: Station, life: Life, device: string, address: string): WebSocket {
    const connection = new Connection(this, station, life, { device, address }, ++this.#made);
    this.#connections.add(connection);
    return connection.tablet as unknown as WebSocket;
  }
  forget(connection: Connection): void {
    this.#connections.delete(connection);
  }
  /** The station is heard again: each connection goes on where it was, or is dead. */
  heal(station: Station): void {
    station.isCutOff = false;
    for (const connection of this.#connections)
      if (connection.station === station) connection.back(this.dice.falls(0.6));
  }
  /** Somebody's router forgets a connection between two frames. */
  breakOne(): void {
    const all = [...this.#connections];
    if (all.length > 0) this.dice.pick(all).tear("both");
  }
  /** Every connection of a hub that went down: told at once, or only when somebody asks. */
  hubWentDown(life: Life, isTold: boolean): void {
    for (const connection of this.#connections)
      if (connection.hub.life === life) connection.hubWentDown(isTold);
  }
}

/** One connection from dial to its end. */
export class Connection {
  readonly station: Station;
  readonly device: string;
  readonly tablet: TabletSocket;
  readonly hub: HubSocket;
  readonly #network: Network;
  readonly #life: Life;
  readonly #name: string;
  /** Parcels that wait for the air, by direction. */
  readonly #held: { up: Parcel[]; down: Parcel[] } = { up: [], down: [] };
  readonly #lastAtMs = { up: 0, down: 0 };
  /** What is in flight when a connection is torn is gone. */
  #torn = { up: false, down: false };

  constructor(
    network: Network,
    station: Station,
    life: Life,
    { device, address }: { device: string; address: string },
    name: number,
  ) {
    this.#network = network;
    this.station = station;
    this.#life = life;
    this.device = device;
    this.#name = `${name}`;
    this.tablet = new TabletSocket(this, life);
    this.hub = new HubSocket(this);
    life.onEnd(() => this.#tabletDied());
    this.#open(address);
  }

  #open(address: string): void {
    const { time, dice } = this.#network;
    time.at(time.nowMs + dice.between(AIR.least, AIR.most), () => {
      if (this.#life.isOver) return this.#network.forget(this);
      const answering = this.#network.at(address);
      if (this.station.isCutOff || !answering || answering.life.isOver) {
        const ms = this.station.isCutOff ? dice.between(GIVES_UP.least, GIVES_UP.most) : 5;
        return time.at(time.nowMs + ms, () => {
          this.tear("both");
          this.tablet.isClosed();
        });
      }
      this.hub.life = answering.life;
      this.send("down", { deliver: () => this.tablet.isOpen() });
      answering.accept(this.hub);
    });
  }

  /** Puts a parcel on its way. */
  send(way: "up" | "down", parcel: Parcel): void {
    const { time, dice } = this.#network;
    const atMs = Math.max(
      time.nowMs + dice.between(AIR.least, AIR.most) * this.station.slowness,
      this.#lastAtMs[way] + 0.001,
    );
    this.#lastAtMs[way] = atMs;
    time.at(atMs, () => this.#arrive(way, parcel));
  }
  #arrive(way: "up" | "down", parcel: Parcel): void {
    if (this.#torn[way]) return;
    if (this.station.isCutOff || this.#held[way].length > 0) {
      this.#held[way].push(parcel);
      return;
    }
    this.#deliver(parcel);
  }
  #deliver(parcel: Parcel): void {
    parcel.sent?.();
    parcel.deliver();
  }
  trace(way: "up" | "down", text: string): void {
    // Tokens are the one thing that is chance from outside.
    this.#network.note(`${this.#name}${way}${text.replace(TOKEN, "")}`);
  }

  /** The air is clear again. */
  back(goesOn: boolean) {
    if (!goesOn) return this.tear("both");
    this.#drain("up");
    this.#drain("down");
  }
  /** What was held arrives, in order, before anything that is still on its way. */
  #drain(way: "up" | "down"): void {
    const { time } = this.#network;
    time.at(time.nowMs, () => {
      const [parcel] = this.#held[way];
      if (!parcel || this.station.isCutOff) return;
      this.#held[way].shift();
      this.#deliver(parcel);
      this.#drain(way);
    });
  }
  /** Dead: what was in flight is lost, and whoever still believes in it is told. */
  tear(told: "both" | "tablet" | "hub"): void {
    const { time, dice } = this.#network;
    this.#torn = { up: true, down: true };
    this.#held.up.length = 0;
    this.#held.down.length = 0;
    const soon = () => time.nowMs + dice.between(AIR.least, AIR.most);
    // Nobody is told through air that carries nothing; heartbeats find out.
    if (!this.station.isCutOff) {
      if (told !== "hub") time.at(soon(), () => this.tablet.isClosed());
      if (told !== "tablet") time.at(soon(), () => this.hub.isClosed());
    }
    this.#network.forget(this);
  }
  /** The hub's machine is gone, with all it had in flight. */
  hubWentDown(isTold: boolean) {
    if (isTold) return this.tear("tablet");
    this.#torn = { up: true, down: true };
  }
  /** A tab that dies is missed by the hub at once, or only by its heartbeat. What it sent before may still arrive. */
  #tabletDied() {
    const { dice } = this.#network;
    this.tablet.readyState = CLOSED;
    if (this.hub.readyState === CLOSED) return this.#network.forget(this);
    const fate = dice.share();
    if (fate < 0.4) this.tear("hub");
    else if (fate < 0.7) this.send("up", { deliver: () => this.hub.heardClose() });
    else this.#torn.down = true;
  }

  // ── closing, from either side ────────────────────────────────────────────────
  closeFromTablet(): void {
    const { time, dice } = this.#network;
    this.send("up", { deliver: () => this.hub.heardClose() });
    time.at(time.nowMs + dice.between(GIVES_UP.least, GIVES_UP.most), () => this.tablet.isClosed());
  }
  closeFromHub(): void {
    this.send("down", {
      deliver: () => {
        this.tablet.isClosed();
        this.send("up", { deliver: () => this.hub.heardClose() });
      },
    });
  }
  answerClose(): void {
    this.send("down", { deliver: () => this.tablet.isClosed() });
  }
  /** The browser answers a ping by itself. */
  ping(): void {
    this.send("down", {
      deliver: () => {
        if (this.tablet.readyState === OPEN)
          this.send("up", { deliver: () => this.hub.hear("pong", "") });
      },
    });
  }
  get network(): Network {
    return this.#network;
  }
}

/** The tablet's end, as a browser's WebSocket. */
class TabletSocket {
  readyState = CONNECTING;
  onopen: (() => void) | undefined;
  onmessage: ((event: { data: string }) => void) | undefined;
  onclose: (() => void) | undefined;
  readonly #connection: Connection;
  readonly #life: Life;

  constructor(connection: Connection, life: Life) {
    this.#connection = connection;
    this.#life = life;
  }
  send(text: string): void {
    if (this.readyState !== OPEN) return;
    const { hub } = this.#connection;
    this.#connection.send("up", { deliver: () => hub.hear("message", text) });
  }
  close(): void {
    if (this.readyState >= CLOSING) return;
    if (this.readyState === CONNECTING) {
      this.#connection.tear("hub");
      this.#life.after(0, () => this.isClosed());
    } else this.#connection.closeFromTablet();
    this.readyState = CLOSING;
  }

  isOpen(): void {
    if (this.readyState !== CONNECTING || this.#life.isOver) return;
    this.readyState = OPEN;
    this.onopen?.();
  }
  hear(text: string): void {
    // A browser tells of nothing that comes after close().
    if (this.readyState !== OPEN || this.#life.isOver) return;
    this.#connection.trace("down", text);
    this.onmessage?.({ data: text });
  }
  isClosed(): void {
    if (this.readyState === CLOSED) return;
    this.readyState = CLOSED;
    if (!this.#life.isOver) this.onclose?.();
  }
}

/** The hub's end, as the server library's WebSocket. */
export class HubSocket {
  readonly OPEN = OPEN;
  readyState = OPEN;
  bufferedAmount = 0;
  life: Life | undefined;
  /** Told of every text before it leaves. */
  onSends: ((text: string) => void) | undefined;
  readonly #connection: Connection;
  readonly #listeners = new Map<string, Listener>();

  constructor(connection: Connection) {
    this.#connection = connection;
  }
  get device(): string {
    return this.#connection.device;
  }
  on(event: string, listener: Listener): void {
    this.#listeners.set(event, listener);
  }
  send(text: string, sent?: () => void): void {
    if (this.readyState !== OPEN || this.life?.isOver) return;
    this.onSends?.(text);
    this.bufferedAmount += text.length;
    const { tablet } = this.#connection;
    this.#connection.send("down", {
      deliver: () => tablet.hear(text),
      sent: () => {
        this.bufferedAmount -= text.length;
        if (!this.life?.isOver) sent?.();
      },
    });
  }
  ping(): void {
    if (!this.life?.isOver) this.#connection.ping();
  }
  close(): void {
    if (this.readyState >= CLOSING || this.life?.isOver) return;
    this.readyState = CLOSING;
    this.#connection.closeFromHub();
    // The server library waits so long for the other side's goodbye.
    this.life?.after(30_000, () => this.isClosed());
  }
  terminate(): void {
    if (this.life?.isOver) return;
    this.#connection.tear("tablet");
    this.life?.after(0, () => this.isClosed());
  }

  hear(event: "message" | "pong", text: string): void {
    if (this.readyState === CLOSED || this.life?.isOver) return;
    if (event === "message") this.#connection.trace("up", text);
    this.#listeners.get(event)?.(text);
  }
  heardClose(): void {
    if (this.readyState === OPEN) this.#connection.answerClose();
    this.isClosed();
    this.#connection.network.forget(this.#connection);
  }
  isClosed(): void {
    if (this.readyState === CLOSED) return;
    this.readyState = CLOSED;
    if (!this.life?.isOver) this.#listeners.get("close")?.("");
  }
}
