"""The gateway: sessions of the bot, events with their sequence numbers, resuming, close codes.

After the service's public documentation, "Gateway" and "Gateway Opcodes and Close Event Codes".
"""

import asyncio
import json
import secrets
import socket
import struct
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from aiohttp import ClientError, WSMsgType, web

from bot.practice import payloads
from bot.practice.compression import Compressor, compressor
from bot.practice.values import Json
from bot.practice.world import World

DISPATCH, HEARTBEAT, IDENTIFY, PRESENCE, VOICE, RESUME, MEMBERS = 0, 1, 2, 3, 4, 6, 8
RECONNECT, INVALID_SESSION, HELLO, HEARTBEAT_ACK = 7, 9, 10, 11
PRIVILEGED_INTENTS = (1 << 1) | (1 << 8) | (1 << 15)
KNOWN_INTENTS = (1 << 26) - 1
HEARTBEAT_MILLISECONDS = 41_250
KEPT_EVENTS = 5000


@dataclass(slots=True, eq=False)
class Connection:
    """One websocket of the bot."""

    socket: web.WebSocketResponse
    transport: asyncio.Transport
    compressor: Compressor

    async def send(self, text: str) -> bool:
        """Send one message; says whether the connection was still there."""
        frame = self.compressor.frame(text)
        try:
            if isinstance(frame, str):
                await self.socket.send_str(frame)
            else:
                await self.socket.send_bytes(frame)
        except (ClientError, ConnectionError, RuntimeError):
            return False
        return True


@dataclass(slots=True, eq=False)
class Session:
    """A session: what was sent to it, and the connection it has now, if it has one."""

    id: str
    intents: int
    connection: Connection | None
    sequence: int = 0
    events: deque[tuple[int, str]] = field(default_factory=lambda: deque(maxlen=KEPT_EVENTS))
    lock: asyncio.Lock = field(default_factory=asyncio.Lock)


class Gateway:
    """All sessions. Events go to the current one: the one that identified or resumed last.

    `identified` lists the payloads of IDENTIFY, `resumed` counts successful RESUMEs, `closes` lists the close codes of
    the client (None where it just went away). All in order.
    """

    def __init__(self, world: World, token: str, url: Callable[[], str]) -> None:
        self._world = world
        self._token = token
        self._url = url
        self._sessions: dict[str, Session] = {}
        self._connections: set[Connection] = set()
        self._current: Session | None = None
        self._ready = asyncio.Event()
        self._gone = asyncio.Event()
        self._gone.set()
        self.identified: list[Json] = []
        self.resumed = 0
        self.closes: list[int | None] = []

    @property
    def online(self) -> bool:
        """Whether the current session is connected and has got everything it starts with."""
        return self._ready.is_set()

    async def wait_ready(self, timeout: float) -> None:  # noqa: ASYNC109 - the tests give it in seconds
        """Wait until a session is online. Raises TimeoutError."""
        async with asyncio.timeout(timeout):
            await self._ready.wait()

    async def wait_gone(self, timeout: float) -> None:  # noqa: ASYNC109 - the tests give it in seconds
        """Wait until no connection is left, so that `closes` is complete. Raises TimeoutError."""
        async with asyncio.timeout(timeout):
            await self._gone.wait()

    async def dispatch(self, event: str, data: Json, *, intent: int = 0) -> None:
        """Send an event to the current session, if it asked for such; kept for it while it is away."""
        session = self._current
        if session is None or (intent and not session.intents & intent):
            return
        async with session.lock:
            await self._send_event(session, event, data)

    async def drop(self, *, resumable: bool = True) -> None:
        """Cut the connection of the current session without a word, as a network does. It may resume, or not."""
        session = self._current
        if session is None or session.connection is None:
            return
        if not resumable:
            self._forget(session)
        self._ready.clear()
        connection, session.connection = session.connection, None
        cut(connection.transport)

    async def ask_to_reconnect(self) -> None:
        """Tell the current session to reconnect and resume."""
        if self._current is not None and self._current.connection is not None:
            await self._current.connection.send(json.dumps({"op": RECONNECT, "d": None, "s": None, "t": None}))

    def close(self) -> None:
        """Cut all connections."""
        for connection in tuple(self._connections):
            connection.transport.abort()

    async def handle(self, request: web.Request) -> web.StreamResponse:
        """The websocket route."""
        ws = web.WebSocketResponse(autoping=True, max_msg_size=1 << 20, compress=False)
        await ws.prepare(request)
        transport = request.transport
        if not isinstance(transport, asyncio.Transport):
            return ws
        try:
            connection = Connection(ws, transport, compressor(request.query.get("compress")))
        except KeyError:
            await ws.close(code=4002, message=b"Unknown compression.")
            return ws
        if request.query.get("v") != "10":
            await ws.close(code=4012, message=b"Invalid API version.")
            return ws
        self._connections.add(connection)
        self._gone.clear()
        await connection.send(_packet(HELLO, {"heartbeat_interval": HEARTBEAT_MILLISECONDS}))
        session: Session | None = None
        try:
            async for incoming in ws:
                if incoming.type is not WSMsgType.TEXT:
                    await ws.close(code=4002, message=b"Decode error.")
                    break
                session = await self._receive(connection, session, incoming.data)
        finally:
            self._lost(connection, session, ws)
        return ws

    async def _receive(self, connection: Connection, session: Session | None, text: str) -> Session | None:
        """Handle one packet; returns the session the connection has afterwards."""
        try:
            packet = json.loads(text)
            op, data = packet["op"], packet.get("d")
        except (ValueError, KeyError, TypeError):
            await connection.socket.close(code=4002, message=b"Error while decoding payload.")
            return session
        if op == HEARTBEAT:
            await connection.send(_packet(HEARTBEAT_ACK, None))
        elif op == IDENTIFY:
            return await self._identify(connection, session, data)
        elif op == RESUME:
            return await self._resume(connection, session, data)
        elif op not in (PRESENCE, VOICE, MEMBERS):
            await connection.socket.close(code=4001, message=b"Unknown opcode.")
        elif session is None:
            await connection.socket.close(code=4003, message=b"Not authenticated.")
        return session

    async def _identify(self, connection: Connection, session: Session | None, data: Json) -> Session | None:
        intents = data.get("intents")
        code = 0
        if session is not None:
            code = 4005
        elif data.get("token") != self._token:
            code = 4004
        elif data.get("shard", [0, 1]) != [0, 1]:
            code = 4010
        elif not isinstance(intents, int) or intents & ~KNOWN_INTENTS:
            code = 4013
        elif intents & PRIVILEGED_INTENTS:
            code = 4014
        if code or not isinstance(intents, int):
            await connection.socket.close(code=code)
            return session
        self.identified.append(data)
        made = Session(secrets.token_hex(16), intents, connection)
        self._sessions[made.id] = made
        self._current = made
        async with made.lock:
            await self._send_event(made, "READY", self._ready_data(made))
            for place_id in self._world.places:
                await self._send_event(made, "GUILD_CREATE", payloads.guild(self._world, self._world.place(place_id)))
        self._ready.set()
        return made

    async def _resume(self, connection: Connection, session: Session | None, data: Json) -> Session | None:
        if data.get("token") != self._token:
            await connection.socket.close(code=4004)
            return session
        known = self._sessions.get(data.get("session_id", ""))
        sequence = data.get("seq") or 0
        if known is None:
            await connection.send(_packet(INVALID_SESSION, False))
            return session
        if sequence > known.sequence:
            await connection.socket.close(code=4007, message=b"Invalid seq.")
            return session
        async with known.lock:
            known.connection = connection
            for number, text in tuple(known.events):
                if number > sequence:
                    await connection.send(text)
            await self._send_event(known, "RESUMED", {})
        self._current = known
        self.resumed += 1
        self._ready.set()
        return known

    async def _send_event(self, session: Session, event: str, data: Json) -> None:
        session.sequence += 1
        text = json.dumps({"op": DISPATCH, "t": event, "s": session.sequence, "d": data}, separators=(",", ":"))
        session.events.append((session.sequence, text))
        if session.connection is not None:
            await session.connection.send(text)

    def _ready_data(self, session: Session) -> Json:
        return {
            "v": 10,
            "user": payloads.bot_user(self._world.application_id),
            "guilds": [{"id": str(place_id), "unavailable": True} for place_id in self._world.places],
            "session_id": session.id,
            "resume_gateway_url": self._url(),
            "application": {"id": str(self._world.application_id), "flags": 0},
            "shard": [0, 1],
        }

    def _lost(self, connection: Connection, session: Session | None, ws: web.WebSocketResponse) -> None:
        """Note how a connection ended. The client's 1000 or 1001 ends the session too."""
        code = None if ws.close_code == 1006 else ws.close_code
        self.closes.append(code)
        self._connections.discard(connection)
        if not self._connections:
            self._gone.set()
        if session is None:
            return
        if code in (1000, 1001):
            self._forget(session)
        if session.connection is connection:
            session.connection = None
            if self._current in (session, None):
                self._ready.clear()

    def _forget(self, session: Session) -> None:
        self._sessions.pop(session.id, None)
        if self._current is session:
            self._current = None


def cut(transport: asyncio.Transport) -> None:
    """Close a TCP connection with a reset, so that the other end sees what a broken network shows."""
    raw = transport.get_extra_info("socket")
    if raw is not None:
        raw.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    transport.abort()


def _packet(op: int, data: object) -> str:
    return json.dumps({"op": op, "d": data, "s": None, "t": None}, separators=(",", ":"))
