"""Messy tables by where things stand: across or down, under a heading, in a title, in several sheets."""

from __future__ import annotations

from datetime import date, time

from messy import Messy, book, stamp

LAYOUTS: dict[str, Messy] = {
    "plain log with densities": Messy(
        "Date,Tank,Rotifers/ml\n2026-03-04,A1,120\n2026-03-05,A2,95\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A2 count density_per_ml=95",
    ),
    "wide, a column per vessel": Messy(
        "Date,A1,A2,A3\n2026-03-04,120,95,80\n2026-03-05,130,,85\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A2 count density_per_ml=95\n03-04 00:00 A3 count density_per_ml=80\n"
        "03-05 00:00 A1 count density_per_ml=130\n03-05 00:00 A3 count density_per_ml=85",
        {"numbers under the vessels": "density /mL"},
    ),
    "wide with its unit in the names": Messy(
        "Date,A1 (/ml),A2 (/ml)\n2026-03-04,120,95\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A2 count density_per_ml=95",
    ),
    "wide with what was measured in the names": Messy(
        "Date,A1 count/ml,A1 temp °F,A2 count/ml,A2 temp °F,notes\n2026-03-04,120,77,95,78.8,all well\n",
        "03-04 00:00 A1 count density_per_ml=120 note=all well\n03-04 00:00 A1 reading temperature_c=25\n"
        "03-04 00:00 A2 count density_per_ml=95 note=all well\n03-04 00:00 A2 reading temperature_c=26",
    ),
    "two rows of names, the upper merged": Messy(
        book(
            (
                "log",
                [
                    ["Rotifer log 2026"],
                    ["", "A1", "", "A2", ""],
                    ["Date", "per ml", "temp C", "per ml", "temp C"],
                    [date(2026, 3, 4), 120, 24.5, 95, 24],
                ],
            ),
            merge="B2:C2",
        ),
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A1 reading temperature_c=24.5\n"
        "03-04 00:00 A2 count density_per_ml=95\n03-04 00:00 A2 reading temperature_c=24",
        ending="xlsx",
    ),
    "title rows, averages at the end": Messy(
        "Rotifer room,,\nspring 2026 (densities per mL),,\n,,\nDate,Tank,Density\n2026-03-04,A1,120\n2026-03-05,A1,130\nAverage,,125\nTotal,,250\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A1 count density_per_ml=130",
    ),
    "tallies in a column each": Messy(
        "Date,Tank,Count 1,Count 2,Count 3,Sample vol (ml),Dilution\n2026-03-04,A1,12,14,11,1,1:10\n2026-03-05,A2,10,9,,1,1:10\n",
        "03-04 00:00 A1 count tallies=12 14 11 aliquot_ml=1 dilution=10\n03-05 00:00 A2 count tallies=10 9 aliquot_ml=1 dilution=10",
    ),
    "UTF-16 with tabs": Messy(
        "Date\tTank\tDensity /mL\tNotes\n2026-03-04\tA1\t120\tgrün\n".encode("utf-16"),
        "03-04 00:00 A1 count density_per_ml=120 note=grün",
    ),
    "Windows-1252 with a degree sign": Messy(
        "Date;Tank;Temp °C;Note\n2026-03-04;A1;24,5;etwas trüb\n".encode("cp1252"),
        "03-04 00:00 A1 reading temperature_c=24.5 note=etwas trüb",
    ),
    "a sheet for each vessel": Messy(
        book(
            ("A1", [["Date", "Density /mL", "Harvest L"], [date(2026, 3, 4), 120, 3]]),
            ("Blue", [["Date", "Density /mL", "Harvest L"], [date(2026, 3, 5), 8, None]]),
        ),
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A1 harvest volume_l=3\n03-05 00:00 Blue count density_per_ml=8",
        ending="xlsx",
    ),
    "one vessel that is named nowhere": Messy(
        "Date,Density /mL\n2026-03-04,120\n", "03-04 00:00 A2 count density_per_ml=120", {"vessel": "A2"}
    ),
    "day and vessel only in the first row of each": Messy(
        "Date,Tank,Density /mL\n2026-03-04,A1,120\n,A2,95\n2026-03-05,A1,131\n,A2,99\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A2 count density_per_ml=95\n03-05 00:00 A1 count density_per_ml=131\n03-05 00:00 A2 count density_per_ml=99",
    ),
    "the vessel as a heading": Messy(
        "Date,Density /mL\nA1,\n2026-03-04,120\n2026-03-05,130\nA2,\n2026-03-04,95\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A1 count density_per_ml=130\n03-04 00:00 A2 count density_per_ml=95",
    ),
    "everything in one row": Messy(
        "Date,Tank,Density/mL,Temp C,pH,Salinity ppt,Fed (mL),Harvest (L),Cleaned,Notes\n2026-03-04,A1,120,25,7.9,20,8,4,floss,good\n",
        "03-04 00:00 A1 count density_per_ml=120 note=good\n03-04 00:00 A1 reading temperature_c=25 ph=7.9 salinity=20\n"
        "03-04 00:00 A1 feed feed=paste amount=8 unit=mL\n03-04 00:00 A1 harvest volume_l=4\n03-04 00:00 A1 clean what=floss",
    ),
    "days across, vessels down": Messy(
        "Tank,4 Mar 2026,5 Mar 2026,6 Mar 2026\nA1,120,130,128\nA2,95,,99\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A1 count density_per_ml=130\n03-06 00:00 A1 count density_per_ml=128\n"
        "03-04 00:00 A2 count density_per_ml=95\n03-06 00:00 A2 count density_per_ml=99",
        {"numbers under the vessels": "density /mL"},
    ),
    "a row of units under the names": Messy(
        "Date,Tank,Density,Temp,Harvest\n,,(/mL),(°F),(gal)\n2026-03-04,A1,120,77,2\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A1 reading temperature_c=25\n03-04 00:00 A1 harvest volume_l=7.57082",
    ),
    "typed cells of a workbook": Messy(
        book(
            (
                "log",
                [
                    ["Rotifers", None, None, None],
                    ["Date", "Time", "Tank", "Animals/mL"],
                    [date(2026, 3, 4), time(8, 30), "A1", 120.0],
                    [stamp(2026, 3, 5), time(9, 0), "A2", 95],
                ],
            ),
            merge="A1:D1",
        ),
        "03-04 08:30 A1 count density_per_ml=120\n03-05 09:00 A2 count density_per_ml=95",
        ending="xlsx",
    ),
    "bars between the cells, names with words before them": Messy(
        "Date|Culture|Dens. (ind/ml)|Vol. harvested (L)\n2026-03-04|Tank A1|120|4\n2026-03-05|culture a2|95|\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-04 00:00 A1 harvest volume_l=4\n03-05 00:00 A2 count density_per_ml=95",
    ),
    "vessels that the rack does not have": Messy(
        "Date,Tank,Density /mL\n2026-03-04,Bucket 7,120\n2026-03-04,Bucket 8,90\n",
        "03-04 00:00 Bucket 7 count density_per_ml=120\n03-04 00:00 Bucket 8 count density_per_ml=90",
        {"unknown vessels": "new rotifer-L", "litres of new vessels": "18"},
        vessels="Bucket 7 rotifer-L 18 L, Bucket 8 rotifer-L 18 L",
    ),
    "a slip in a vessel's name": Messy(
        "Date,Tank,Density /mL\n2026-03-04,Bleu,120\n2026-03-04,A1,90\n",
        "03-04 00:00 Blue count density_per_ml=120\n03-04 00:00 A1 count density_per_ml=90",
        {"vessel Bleu": "Blue"},
    ),
    "vessel and what was measured in every name": Messy(
        "date,A1 density,A1 harvest (L),A2 density,A2 harvest (L)\n2026-03-01,100,2,90,1\n2026-03-02,105,,95,1.5\n",
        "03-01 00:00 A1 count density_per_ml=100\n03-01 00:00 A1 harvest volume_l=2\n03-01 00:00 A2 count density_per_ml=90\n"
        "03-01 00:00 A2 harvest volume_l=1\n03-02 00:00 A1 count density_per_ml=105\n03-02 00:00 A2 count density_per_ml=95\n"
        "03-02 00:00 A2 harvest volume_l=1.5",
    ),
    "the vessel in the title, a volume of the sample": Messy(
        "Tank: A1\nDate,Count 1,Count 2,Vol (mL)\n2026-03-01,12,13,0.1\n",
        "03-01 00:00 A1 count tallies=12 13 aliquot_ml=0.1",
    ),
    "days under the word vessel": Messy(
        "vessel,A1,A2\n2026-03-01,120,95\n2026-03-02,130,\n",
        "03-01 00:00 A1 count density_per_ml=120\n03-01 00:00 A2 count density_per_ml=95\n03-02 00:00 A1 count density_per_ml=130",
        {"numbers under the vessels": "density /mL"},
    ),
    "a list of vessels": Messy(
        "Name,Species,Volume (gal),Shelf,Position\nT1,rotifer-L,5,A,5\nT2,rotifer-S,5,A,6\n",
        "",
        {"unknown vessels": "new vessels"},
        vessels="T1 rotifer-L 18.9271 L, T2 rotifer-S 18.9271 L",
    ),
    "stages in columns of their own": Messy(
        "Date,Tank,Copepods/L,nauplii/L,adults/L\n2026-03-14,Blue,5000,3000,2000\n",
        "03-14 00:00 Blue count density_per_ml=5\n03-14 00:00 Blue count stage=nauplii density_per_ml=3\n"
        "03-14 00:00 Blue count stage=adults density_per_ml=2",
    ),
    "two feeds in a row": Messy(
        "Date,Tank,Density,Paste,Yeast\n2026-03-14,A1,120,8 ml,2 g\n",
        "03-14 00:00 A1 count density_per_ml=120\n03-14 00:00 A1 feed feed=paste amount=8 unit=mL\n"
        "03-14 00:00 A1 feed feed=Yeast amount=2 unit=g",
    ),
    "two columns that say different things of one value": Messy(
        "Date,Tank,Temp (C),Temp (F)\n2026-03-14,A1,25,77\n2026-03-15,A1,25,70\n",
        "03-14 00:00 A1 reading temperature_c=25",
        refused="3",
    ),
    "no names of columns at all": Messy(
        "2026-03-14,A1,120\n2026-03-15,A1,130\n",
        "03-14 00:00 A1 count density_per_ml=120\n03-15 00:00 A1 count density_per_ml=130",
        {"column (column 3)": "density /mL"},
    ),
    "ticks for what was done": Messy(
        "Date,Tank,Density,Fed?,Cleaned?\n2026-03-14,A1,120,yes,x\n",
        "03-14 00:00 A1 count density_per_ml=120 note=Fed?: yes\n03-14 00:00 A1 clean what=vessel",
        {"cleaned": "vessel"},
    ),
    "two tables, one under the other": Messy(
        "Counts\nDate,Tank,Density /mL\n2026-03-24,A1,120\n\nHarvests\nDate,Tank,Harvest (L)\n2026-03-25,A2,4\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-25 00:00 A2 harvest volume_l=4",
    ),
    "columns kept apart by spaces": Messy(
        "Date        Tank   Density_per_mL\n2026-03-24  A1     120\n2026-03-25  A2     95\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-25 00:00 A2 count density_per_ml=95",
        ending="txt",
    ),
    "answers of a form": Messy(
        '"Timestamp","Which culture?","How many in 1 ml? (3 samples)","How much (L)?"\n"3/24/2026 8:01:00","A1","45, 51, 48","5"\n',
        "03-24 08:01 A1 count tallies=45 51 48\n03-24 08:01 A1 harvest volume_l=5",
        {"column How much (L)?": "harvest L"},
    ),
    "a sheet for a month, its days as numbers": Messy(
        "March 2026 (rotifers per mL)\nDay,A1,A2\n24,120,90\n31,125,95\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-24 00:00 A2 count density_per_ml=90\n"
        "03-31 00:00 A1 count density_per_ml=125\n03-31 00:00 A2 count density_per_ml=95",
    ),
    "what was cleaned in the names": Messy(
        "Date,Vessel,Count per ml,Sponge changed?,Bottom siphoned?\n2026-03-24,A1,120,Y,N\n2026-03-25,A1,110,N,Y\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-24 00:00 A1 clean what=floss\n"
        "03-25 00:00 A1 count density_per_ml=110\n03-25 00:00 A1 clean what=vessel",
    ),
    "stages in a column of words": Messy(
        "date,vessel,stage,n per ml\n2026-03-24,Blue,adult,2\n2026-03-24,Blue,nauplius,6\n",
        "03-24 00:00 Blue count stage=adults density_per_ml=2\n03-24 00:00 Blue count stage=nauplii density_per_ml=6",
    ),
}
