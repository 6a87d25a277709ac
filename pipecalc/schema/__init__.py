"""The workbook, declared: sheets, columns, units and bounds."""
