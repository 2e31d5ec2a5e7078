"""The wheel over a million corners: how soon a preview, how soon the exact picture, and how long each slice holds the
window; and how many pixels differ from drawing every corner.

    python tests/bench/wheel.py [corners]
"""

from __future__ import annotations

import sys
from dataclasses import replace
from time import perf_counter

import numpy as np
from PySide6.QtCore import QEventLoop, QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtWidgets import QApplication
from snap import layer

from planner.ui.canvas.map_canvas import MapCanvas
from planner.ui.canvas.pyramid import Pyramid


def notch(canvas: MapCanvas, up: bool) -> None:
    """One notch of the wheel in the middle of the map.

    Args:
        canvas: The map.
        up: True to enlarge.
    """
    at = QPoint(canvas.width() // 2, canvas.height() // 2)
    event = QWheelEvent(QPointF(at), QPointF(canvas.mapToGlobal(at)), QPoint(), QPoint(0, 120 if up else -120),
                        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False)
    QApplication.sendEvent(canvas, event)
    canvas.repaint()


def picture(canvas: MapCanvas) -> np.ndarray:
    """What the map shows. Shape (rows, columns, 3)."""
    image = canvas.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1, 4)[:, :, :3].astype(int)


def main() -> None:
    """Prints a table."""
    application = QApplication.instance() or QApplication([])
    corners = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    canvas = MapCanvas()
    canvas.resize(1600, 1000)
    canvas.show()
    application.processEvents()
    loop = QEventLoop()
    canvas.layers_ready.connect(loop.quit)
    canvas.set_layers([replace(layer(corners // 3, seed), role="#202020") for seed in (1, 2, 3)])
    canvas.fit()
    loop.exec()
    previews, settled, slices = [], [], []
    for up in [True] * 8 + [False] * 12:
        while canvas._buffer.wants_work:
            canvas._work_a_slice()
        begun = perf_counter()
        notch(canvas, up)
        previews.append(perf_counter() - begun)
        while not canvas.is_settled:
            at = perf_counter()
            canvas._work_a_slice()
            slices.append(perf_counter() - at)
        canvas.repaint()
        settled.append(perf_counter() - begun)
    for name, seconds in (("preview", previews), ("settled", settled), ("slice", slices)):
        ms = np.array(seconds) * 1e3
        print(f"{name:8s} median {np.median(ms):5.1f} ms, p95 {np.percentile(ms, 95):5.1f} ms, max {ms.max():5.1f} ms")
    canvas.fit()
    whole = canvas.view
    for times in (1.0, 1.25, 8.0):
        canvas.set_view(whole.zoom_at(times, 800, 500), exact=True)
        ours = picture(canvas)
        kept, canvas._scene.pyramids = canvas._scene.pyramids, tuple(
            Pyramid(own.layer, own.levels[:1]) for own in canvas._scene.pyramids)
        canvas._buffer.renew()
        canvas.set_view(canvas.view, exact=True)
        off = (np.abs(picture(canvas) - ours).max(axis=2) > 64).mean() * 100
        print(f"enlarged {times:g} times: {off:.2f} % of the pixels differ from every corner drawn")
        canvas._scene.pyramids = kept
        canvas._buffer.renew()
    canvas.close()


if __name__ == "__main__":
    main()
