"""Pictures and sheets: symbols, fonts and pages drawn with QtGui alone, for the window and for paper."""
