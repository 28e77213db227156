"""The network between a phone and the register, as something that can be pulled out and plugged in again."""

import contextlib
import socket
import threading


class Cable:
    """Forwards an address of its own to a server; pulled, nobody listens there and what was open is cut."""

    def __init__(self, to_port: int) -> None:
        self.to_port = to_port
        self.port = 0
        self.open: list[socket.socket] = []
        self.listener: socket.socket | None = None
        self.plug()
        self.url = f"http://127.0.0.1:{self.port}"

    def plug(self) -> None:
        """Listen again, at the same port as before."""
        listener = socket.socket()
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("127.0.0.1", self.port))
        listener.listen(64)
        self.port, self.listener = listener.getsockname()[1], listener
        threading.Thread(target=self._accept, args=(listener,), daemon=True).start()

    def pull(self) -> None:
        """Stop listening and cut every connection."""
        if self.listener is None:
            return
        cut = [self.listener, *self.open]
        self.listener, self.open = None, []
        for each in cut:
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()

    def _accept(self, listener: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while True:
                near, _ = listener.accept()
                far = socket.create_connection(("127.0.0.1", self.to_port))
                self.open += [near, far]
                for one, other in ((near, far), (far, near)):
                    threading.Thread(target=self._forward, args=(one, other), daemon=True).start()

    def _forward(self, one: socket.socket, other: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := one.recv(65536):
                other.sendall(data)
            other.shutdown(socket.SHUT_WR)
