"""The style sheet of the whole window: square corners, two-pixel outlines, one accent."""

from capture.desk.look.palette import Palette


def dress(p: Palette) -> str:
    """Return the Qt style sheet of a palette.

    Widgets ask for a part by the dynamic property "part": work, round, well, mat, primary, plain,
    caption, head, choice, plate.
    """
    return f"""
    QWidget {{ color: {p.ink}; background: transparent; }}
    QMainWindow, QDialog, QWidget[part="work"] {{ background: {p.sheet}; }}
    QWidget[part="round"] {{ background: {p.ground}; }}
    QWidget[part="mat"] {{ background: {p.mat}; }}
    QWidget[part="plate"] {{ background: #0B0C0D; }}
    QWidget[part="plate"] QLabel {{ color: #F4F2EC; }}
    QFrame[part="rule"] {{ background: {p.rule}; max-height: 1px; min-height: 1px; border: none; }}
    QLabel[part="caption"] {{ color: {p.ink2}; }}
    QLineEdit, QPlainTextEdit, QTextEdit, QComboBox, QSpinBox {{
        background: {p.well}; border: 2px solid {p.edge}; padding: 4px 10px; min-height: 36px;
        selection-background-color: {p.accent}; selection-color: {p.on_accent}; }}
    QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QComboBox:focus, QSpinBox:focus {{
        border: 4px solid {p.accent}; padding: 2px 8px; }}
    QLineEdit:disabled, QPlainTextEdit:disabled {{ border-style: dashed; color: {p.ink2}; }}
    QComboBox QAbstractItemView {{ background: {p.well}; border: 2px solid {p.ink};
        selection-background-color: {p.accent}; selection-color: {p.on_accent}; }}
    QPushButton {{ background: {p.sheet}; border: 2px solid {p.edge}; padding: 0 16px;
        min-height: 44px; text-align: center; }}
    QPushButton:focus {{ border: 4px solid {p.accent}; padding: 0 14px; min-height: 40px; }}
    QPushButton:pressed {{ background: {p.slab}; }}
    QPushButton:checked {{ border-bottom: 6px solid {p.accent}; font-weight: bold; }}
    QPushButton:disabled {{ border: 2px dashed {p.edge}; color: {p.ink2}; }}
    QPushButton[part="primary"] {{ background: {p.accent}; color: {p.on_accent};
        border: 2px solid {p.accent}; font-weight: bold; }}
    QPushButton[part="primary"]:focus {{ border: 4px solid {p.ink}; }}
    QPushButton[part="primary"]:disabled {{ background: {p.sheet}; color: {p.ink2};
        border: 2px dashed {p.edge}; }}
    QPushButton[part="bare"] {{ border: 2px solid transparent; background: transparent; }}
    QPushButton[part="bare"]:focus {{ border: 4px solid {p.accent}; }}
    QPushButton[part="bare"]:disabled {{ border: 2px solid transparent; }}
    QListView, QTreeView, QTableView, QListWidget {{ background: {p.sheet};
        border: 1px solid {p.rule}; outline: none; gridline-color: {p.rule}; }}
    QListView::item, QListWidget::item {{ min-height: 48px; padding: 0 12px;
        border-bottom: 1px solid {p.rule}; }}
    QListView::item:selected, QListWidget::item:selected, QTableView::item:selected {{
        background: {p.well}; color: {p.ink}; border-left: 6px solid {p.accent}; }}
    QListView:focus, QTableView:focus, QListWidget:focus {{ border: 2px solid {p.accent}; }}
    QHeaderView::section {{ background: {p.sheet}; color: {p.ink2}; border: none;
        border-bottom: 1px solid {p.edge}; padding: 6px 12px; text-align: left; }}
    QScrollBar:vertical {{ background: transparent; width: 14px; margin: 0; }}
    QScrollBar::handle:vertical {{ background: {p.edge}; min-height: 48px; margin: 2px 3px; }}
    QScrollBar:horizontal {{ background: transparent; height: 14px; margin: 0; }}
    QScrollBar::handle:horizontal {{ background: {p.edge}; min-width: 48px; margin: 3px 2px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
    QProgressBar {{ background: {p.well}; border: 2px solid {p.edge}; min-height: 20px;
        text-align: center; }}
    QProgressBar::chunk {{ background: {p.accent}; }}
    QCheckBox, QRadioButton {{ min-height: 48px; spacing: 12px; }}
    QCheckBox::indicator, QRadioButton::indicator {{ width: 22px; height: 22px;
        border: 2px solid {p.edge}; background: {p.well}; }}
    QCheckBox::indicator:checked, QRadioButton::indicator:checked {{ background: {p.accent};
        border: 4px solid {p.well}; outline: 2px solid {p.ink}; }}
    QCheckBox:focus, QRadioButton:focus {{ border: 3px solid {p.accent}; }}
    QToolTip {{ background: {p.well}; color: {p.ink}; border: 1px solid {p.ink}; padding: 6px; }}
    QMenu {{ background: {p.well}; border: 2px solid {p.ink}; padding: 4px; }}
    QMenu::item {{ padding: 10px 24px; }}
    QMenu::item:selected {{ background: {p.accent}; color: {p.on_accent}; }}
    """
