"""The list of cameras, with the one that was used last time chosen."""

from collections.abc import Callable

from PySide6.QtCore import Signal

from capture.desk import memory as remembering
from capture.desk.camera.devices import Device
from capture.desk.desk import Desk
from capture.desk.look.field import PickField


class DeviceBox(PickField):
    """``picked`` says that another camera was chosen by hand; it is remembered."""

    picked = Signal()

    def __init__(self, desk: Desk, lists: Callable[[], tuple[Device, ...]]) -> None:
        super().__init__("Camera")
        self._desk, self._lists = desk, lists
        self._devices: tuple[Device, ...] = ()
        self.edited.connect(self._pick)

    def list_anew(self) -> None:
        """Ask which cameras there are."""
        self._devices = self._lists()
        there = [(str(device.index), device.name) for device in self._devices]
        self.offer(there or [("", "none")])
        self.set_text(str(self._desk.memory.camera))
        self.box.setEnabled(len(there) > 1)

    @property
    def device(self) -> Device | None:
        """The camera that is chosen, None if there is none."""
        chosen = self.text()
        return next((device for device in self._devices if str(device.index) == chosen), None)

    @property
    def name(self) -> str:
        """What the camera that is chosen is called, empty if there is none."""
        return self.device.name if self.device else ""

    def _pick(self) -> None:
        if self.device is not None:
            self._desk.memory.camera = self.device.index
            remembering.keep(self._desk.memory)
            self.picked.emit()
