# Writes the workbook that TestOtherWriters reads: with_openpyxl.py FILE whole|rows
import datetime
import sys

import openpyxl
from openpyxl.cell import WriteOnlyCell

path, way = sys.argv[1:]
book = openpyxl.Workbook(write_only=way == "rows")
sheet = book.create_sheet("Table") if way == "rows" else book.active

def cell(value, form=None):
    if form is None or value is None:
        return value
    made = WriteOnlyCell(sheet, value=value)
    made.number_format = form
    return made

day = datetime.datetime
rows = [
    ["Brand", "Model", "Made", "Until", "At", "Watts", "Stock", "Sum", "Note"],
    ["Brunning", "0815", cell(day(2004, 9, 17), "dd.mm.yyyy"), cell(day(2006, 11, 1), "mm/yyyy"),
     cell(day(2004, 9, 17, 12, 30), "yyyy-mm-dd hh:mm"), 1850.5, True, 3701, 'a & b <c> "d"'],
    ["Keldorf ß €", "1E5", cell(day(1998, 1, 2), "dd.mm.yyyy"), None, None, 0.1, False, 0.2, "two\nlines"],
    [None, None, cell(day(2100, 12, 31), "dd.mm.yyyy"), None, None, 123456789012, None, 246913578024, " "],
]
for row in rows:
    sheet.append(row)
book.save(path)
