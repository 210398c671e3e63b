"""Job sheet, labels, strips, workbook, drawing: the only room that knows document formats."""
