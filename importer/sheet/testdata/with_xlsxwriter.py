# Writes the workbook that TestOtherWriters reads: with_xlsxwriter.py FILE whole|rows
import datetime
import sys

import xlsxwriter

path, way = sys.argv[1:]
book = xlsxwriter.Workbook(path, {"constant_memory": way == "rows"})
sheet = book.add_worksheet("Table")
days = book.add_format({"num_format": "dd.mm.yyyy"})
months = book.add_format({"num_format": "mm/yyyy"})
times = book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
day = datetime.datetime

for at, text in enumerate(["Brand", "Model", "Made", "Until", "At", "Watts", "Stock", "Sum", "Note"]):
    sheet.write_string(0, at, text)
rows = [
    ["Brunning", "0815", day(2004, 9, 17), day(2006, 11, 1), day(2004, 9, 17, 12, 30), 1850.5, True, 3701, 'a & b <c> "d"'],
    ["Keldorf ß €", "1E5", day(1998, 1, 2), None, None, 0.1, False, 0.2, "two\nlines"],
    [None, None, day(2100, 12, 31), None, None, 123456789012, None, 246913578024, " "],
]
for line, row in enumerate(rows, 1):
    for at, value in enumerate(row):
        if isinstance(value, bool):
            sheet.write_boolean(line, at, value)
        elif isinstance(value, day):
            sheet.write_datetime(line, at, value, {2: days, 3: months, 4: times}[at])
        elif at == 7:
            sheet.write_formula(line, at, "=F%d*2" % (line + 1), None, value)
        elif isinstance(value, str):
            sheet.write_string(line, at, value)
        elif value is not None:
            sheet.write_number(line, at, value)
book.close()
