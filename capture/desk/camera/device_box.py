"""The list of cameras, with the one that was used last time chosen."""

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox

from capture.desk import memory as remembering
from capture.desk.camera.devices import Device
from capture.desk.desk import Desk
from capture.desk.look.type import font


class DeviceBox(QComboBox):
    """``picked`` says that another camera was chosen by hand; it is remembered."""

    picked = Signal()

    def __init__(self, desk: Desk, lists: Callable[[], tuple[Device, ...]]) -> None:
        super().__init__()
        self._desk, self._lists = desk, lists
        self.setFont(font())
        self.setAccessibleName("camera")
        self.activated.connect(self._pick)

    def list_anew(self) -> None:
        """Ask which cameras there are."""
        devices = self._lists()
        self.clear()
        for device in devices:
            self.addItem(device.name, device)
        indices = [device.index for device in devices]
        last = self._desk.memory.camera
        self.setCurrentIndex(indices.index(last) if last in indices else 0)
        self.setEnabled(len(devices) > 1)

    @property
    def device(self) -> Device | None:
        """The camera that is chosen, None if there is none."""
        chosen = self.currentData()
        return chosen if isinstance(chosen, Device) else None

    def _pick(self) -> None:
        if self.device is not None:
            self._desk.memory.camera = self.device.index
            remembering.keep(self._desk.memory)
            self.picked.emit()
