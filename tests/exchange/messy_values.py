"""Messy tables by how things are written: days and times, numbers, units, and words in several languages."""

from __future__ import annotations

from datetime import date

from messy import DAY, DECIMAL_POINT, MONTH, Messy, book

VALUES: dict[str, Messy] = {
    "one day settles the order of all, another lies ahead": Messy(
        "Date,Tank,Density\n5/3/26,A1,110\n13/3/26,A1,120\n4/12/26,A1,95\n",
        "03-05 00:00 A1 count density_per_ml=110\n03-13 00:00 A1 count density_per_ml=120",
        refused="4",
    ),
    "German, semicolons, decimal comma": Messy(
        "Datum;Uhrzeit;Becken;Dichte (Tiere/ml);Temp. (°C);Bemerkung\n14.03.2026;8:30;A1;112,5;24,5;gut\n15.03.2026;8:45;A2;98;24,1;\n",
        "03-14 08:30 A1 count density_per_ml=112.5 note=gut\n03-14 08:30 A1 reading temperature_c=24.5\n"
        "03-15 08:45 A2 count density_per_ml=98\n03-15 08:45 A2 reading temperature_c=24.1",
    ),
    "slashes that may be either order": Messy(
        "date,tank,density\n3/4/26,A1,120\n3/5/26,A1,130\n3/6/26,A1,126\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A1 count density_per_ml=130\n03-06 00:00 A1 count density_per_ml=126",
        MONTH,
    ),
    "the same slashes read the other way": Messy(
        "date,tank,density\n3/2/26,A1,120\n4/2/26,A1,130\n",
        "02-03 00:00 A1 count density_per_ml=120\n02-04 00:00 A1 count density_per_ml=130",
        DAY,
    ),
    "slashes of which one is above 12": Messy(
        "date,tank,density\n3/4/26,A1,120\n3/24/26,A1,130\n",
        "03-04 00:00 A1 count density_per_ml=120\n03-24 00:00 A1 count density_per_ml=130",
    ),
    "dotted days": Messy(
        "Tag;Kultur;Dichte\n4.3.2026;A1;80\n5.3.2026;A1;90\n",
        "03-04 00:00 A1 count density_per_ml=80\n03-05 00:00 A1 count density_per_ml=90",
        DAY,
    ),
    "serial days": Messy(
        "Date,Vessel,Density (per mL)\n46085,A1,100\n46086.375,A2,110\n",
        "03-04 00:00 A1 count density_per_ml=100\n03-05 09:00 A2 count density_per_ml=110",
    ),
    "day and AM/PM in two columns": Messy(
        "Date,Time,Tank,Count/mL\n03/24/2026,8:15 AM,A1,120\n03/24/2026,6:05 pm,A1,131\n",
        "03-24 08:15 A1 count density_per_ml=120\n03-24 18:05 A1 count density_per_ml=131",
    ),
    "AM/PM in one cell": Messy(
        "When,Tank,Count/mL\n3/24/2026 12:05 AM,A1,120\n3/24/2026 12:30 PM,A1,131\n",
        "03-24 00:05 A1 count density_per_ml=120\n03-24 12:30 A1 count density_per_ml=131",
    ),
    "gallons, Fahrenheit, specific gravity": Messy(
        "Date,Tank,Harvest (gal),Refill (gal),Temp (°F),SG\n2026-03-04,A1,1.5,1.5,77,1.018\n",
        "03-04 00:00 A1 harvest volume_l=5.67812 refill_l=5.67812\n03-04 00:00 A1 reading temperature_c=25 sg=1.018",
    ),
    "our own names with other units": Messy(
        "at,vessel,kind,volume_gal,temperature_f\n2026-03-04T08:00,A1,harvest,2,\n2026-03-04T09:00,A1,reading,,68\n",
        "03-04 08:00 A1 harvest volume_l=7.57082\n03-04 09:00 A1 reading temperature_c=20",
    ),
    "rough counts and units in the cells": Messy(
        "Date,Tank,Count\n2026-03-04,A1,~120\n2026-03-05,A1,120/ml\n2026-03-06,A1,ca. 90 per ml\n2026-03-07,A1,95 (clumpy)\n",
        "03-04 00:00 A1 count density_per_ml=120 note=about: ~120\n03-05 00:00 A1 count density_per_ml=120\n"
        "03-06 00:00 A1 count density_per_ml=90 note=about: ca. 90 per ml\n03-07 00:00 A1 count density_per_ml=95 note=clumpy",
    ),
    "tallies with commas between them": Messy(
        'Date,Tank,Counts,Sample (mL)\n2026-03-04,A1,"12, 14, 11",0.1\n2026-03-05,A2,9/12/10,0.1\n',
        "03-04 00:00 A1 count tallies=12 14 11 aliquot_ml=0.1\n03-05 00:00 A2 count tallies=9 12 10 aliquot_ml=0.1",
    ),
    "crashed, n/a and dashes": Messy(
        "Date,Tank,Density (/mL),Temp (C)\n2026-03-04,A1,crashed,25\n2026-03-05,A2,n/a,24\n2026-03-06,A2,–,\n2026-03-07,A2,75,-\n",
        "03-04 00:00 A1 count density_per_ml=0 note=crashed\n03-04 00:00 A1 reading temperature_c=25\n"
        "03-05 00:00 A2 reading temperature_c=24\n03-07 00:00 A2 count density_per_ml=75",
        {"crashed": "a count of 0"},
    ),
    "thousands in a density per litre": Messy(
        'Date,Tank,Animals per L\n2026-03-04,A1,"300,000"\n2026-03-05,A1,"95,000"\n',
        "03-04 00:00 A1 count density_per_ml=300\n03-05 00:00 A1 count density_per_ml=95",
        DECIMAL_POINT,
    ),
    "thousands that other cells prove": Messy(
        'Date,Tank,Animals per L,Temp C\n2026-03-04,A1,"300,000",24.5\n',
        "03-04 00:00 A1 count density_per_ml=300\n03-04 00:00 A1 reading temperature_c=24.5",
    ),
    "what was done in words": Messy(
        "Date,Tank,Action,Liters,Notes\n2026-03-04,A1,Harvested,4,\n2026-03-05,A2,top-up,0.5,evaporated\n2026-03-06,A1,cleaned floss,,\n",
        "03-04 00:00 A1 harvest volume_l=4\n03-05 00:00 A2 top_up volume_l=0.5 note=evaporated\n03-06 00:00 A1 note text=cleaned floss",
        {"kind cleaned floss": "note"},
    ),
    "days in words without a year": Messy(
        "Day,Tank,Rotifers per ml\nMon 2 March,A1,120\nTue 3 March,A1,130\nWed 4 March,A1,131\n",
        "03-02 00:00 A1 count density_per_ml=120\n03-03 00:00 A1 count density_per_ml=130\n03-04 00:00 A1 count density_per_ml=131",
        {"year": "2026"},
    ),
    "month first in words, two-digit years": Messy(
        'Date,Tank,Density /mL\n"Mar 4, 2026",A1,120\n5-Mar-26,A1,130\n',
        "03-04 00:00 A1 count density_per_ml=120\n03-05 00:00 A1 count density_per_ml=130",
    ),
    "animals with eggs out of females": Messy(
        "Date,Tank,Density /mL,With eggs\n2026-03-04,A1,120,12/40\n2026-03-05,A1,130,15 of 50\n",
        "03-04 00:00 A1 count density_per_ml=120 with_eggs=12 females_checked=40\n03-05 00:00 A1 count density_per_ml=130 with_eggs=15 females_checked=50",
    ),
    "a count that is one of the sample": Messy(
        "Date,Tank,Count,Aliquot (ml)\n2026-03-04,A1,24,0.2\n2026-03-05,A1,31,0.2\n",
        "03-04 00:00 A1 count tallies=24 aliquot_ml=0.2\n03-05 00:00 A1 count tallies=31 aliquot_ml=0.2",
    ),
    "a count of which nobody says what it is of": Messy(
        "Date,Tank,Count\n2026-03-04,A1,24\n2026-03-05,A1,31\n",
        "03-04 00:00 A1 count tallies=24\n03-05 00:00 A1 count tallies=31",
        {"column Count": "tallies"},
    ),
    "Spanish": Messy(
        "Fecha;Hora;Cultivo;Densidad (ind/ml);Temperatura (°C);Cosecha (L);Notas\n24/03/2026;08:30;A1;120,5;24,5;3,5;bien\n",
        "03-24 08:30 A1 count density_per_ml=120.5 note=bien\n03-24 08:30 A1 reading temperature_c=24.5\n03-24 08:30 A1 harvest volume_l=3.5",
    ),
    "harvests without a unit": Messy(
        "Date,Tank,Harvest\n2026-03-04,A1,2\n2026-03-05,A1,1.5\n",
        "03-04 00:00 A1 harvest volume_l=7.57082\n03-05 00:00 A1 harvest volume_l=5.67812",
        {"column Harvest": "harvest gal"},
    ),
    "water changes": Messy(
        "Date,Tank,Water change (L)\n2026-03-04,A1,5\n", "03-04 00:00 A1 harvest volume_l=5 refill_l=5 to=discard"
    ),
    "specific gravity times a thousand, oxygen, ammonia": Messy(
        "Date,Tank,SG,DO (mg/L),NH3-N,pH\n2026-03-04,A1,1018,6.5,0.5,8.0\n",
        "03-04 00:00 A1 reading sg=1.018 oxygen_mg_l=6.5 tan_mg_l=0.5 ph=8",
    ),
    "ranges and bounds are sent back": Messy(
        "Date,Tank,Density /mL\n2026-03-04,A1,100-120\n2026-03-05,A1,>200\n2026-03-06,A1,90\n",
        "03-06 00:00 A1 count density_per_ml=90",
        refused="2 3",
    ),
    "impossible days and far-off temperatures are sent back": Messy(
        "Date,Tank,Temp (C)\n31/02/2026,A1,24\n28/02/2026,A1,240\n27/02/2026,A1,24\n",
        "02-27 00:00 A1 reading temperature_c=24",
        DAY,
        refused="2 3",
    ),
    "unit before the words": Messy(
        'Date,Tank #,Est. pop. per mL,Gallons harvested,Algae (mL),Comments\n3/14/2026,A1,120,1.5,10,"cloudy, smelly"\n',
        "03-14 00:00 A1 count density_per_ml=120 note=cloudy, smelly\n03-14 00:00 A1 harvest volume_l=5.67812\n"
        "03-14 00:00 A1 feed feed=paste amount=10 unit=mL",
    ),
    "amounts with their unit in a column": Messy(
        "Date,Time,Tank,What,Amount,Unit\n2026-03-14,08:00,A1,fed,8,ml\n2026-03-14,09:00,A1,harvest,3,L\n",
        "03-14 08:00 A1 feed feed=paste amount=8 unit=mL\n03-14 09:00 A1 harvest volume_l=3",
    ),
    "thousands of animals at a time": Messy(
        "Date,Tank,Density (thousands per L)\n2026-03-14,A1,120\n",
        "03-14 00:00 A1 count density_per_ml=120",
        {"column Density (thousands per L)": "density 1000/L"},
    ),
    "powers of ten": Messy(
        "Date,Tank,Density per L\n2026-03-24,A1,1.2E+05\n2026-03-25,A2,9.5 x 10^4\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-25 00:00 A2 count density_per_ml=95",
    ),
    "harvests in per cent of the vessel": Messy(
        "Date,Tank,rot/ml,harv %,fed\n24.03.26,A1,120,30,8ml\n25.03.26,Blue,11,35,9 ml\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-24 00:00 A1 harvest volume_l=6\n03-24 00:00 A1 feed feed=paste amount=8 unit=mL\n"
        "03-25 00:00 Blue count density_per_ml=11\n03-25 00:00 Blue harvest volume_l=21\n03-25 00:00 Blue feed feed=paste amount=9 unit=mL",
    ),
    "harvests as fractions, water changed in per cent cells": Messy(
        book(
            (
                "log",
                [
                    ["Date", "Tank", "Harvest", "Water change (%)"],
                    [date(2026, 3, 4), "A1", "1/4", None],
                    [date(2026, 3, 5), "A1", "1/2", None],
                    [date(2026, 3, 6), "A1", None, 0.25],
                ],
            )
        ),
        "03-04 00:00 A1 harvest volume_l=5\n03-05 00:00 A1 harvest volume_l=10\n"
        "03-06 00:00 A1 harvest volume_l=5 refill_l=5 to=discard",
        ending="xlsx",
    ),
    "quarts, pints, cups and teaspoons": Messy(
        "Date,Tank,Harvested,Fed\n2026-03-24,A1,2 qt,2 tsp\n2026-03-25,A1,1 quart,1 tbsp\n2026-03-26,A1,2 cups,\n2026-03-27,A1,1 pint,\n",
        "03-24 00:00 A1 harvest volume_l=1.89271\n03-24 00:00 A1 feed feed=paste amount=9.85784 unit=mL\n"
        "03-25 00:00 A1 harvest volume_l=0.946353\n03-25 00:00 A1 feed feed=paste amount=14.7868 unit=mL\n"
        "03-26 00:00 A1 harvest volume_l=0.473176\n03-27 00:00 A1 harvest volume_l=0.473176",
    ),
    "feed per litre of the vessel": Messy(
        "Date,Tank,Algae (ml/L),Rotifers/ml\n2026-03-24,A1,0.4,120\n",
        "03-24 00:00 A1 count density_per_ml=120\n03-24 00:00 A1 feed feed=paste amount=8 unit=mL",
    ),
    "Italian": Messy(
        "Data;Ora;Vasca;Densità (rotiferi/ml);Raccolto (litri);Note\n24/03/2026;08.30;A1;120;3,5;bene\n",
        "03-24 08:30 A1 count density_per_ml=120 note=bene\n03-24 08:30 A1 harvest volume_l=3.5",
    ),
    "Dutch": Messy(
        "Datum;Tijd;Emmer;Aantal per ml;Temperatuur;Geoogst (L)\n24 maart 2026;8:30;A1;120;24,5;4\n",
        "03-24 08:30 A1 count density_per_ml=120\n03-24 08:30 A1 reading temperature_c=24.5\n03-24 08:30 A1 harvest volume_l=4",
    ),
    "Portuguese": Messy(
        "Data;Hora;Tanque;Densidade (ind/mL);Temperatura;Colheita (L)\n24/03/2026;08:30;A1;120,5;24,5;4\n",
        "03-24 08:30 A1 count density_per_ml=120.5\n03-24 08:30 A1 reading temperature_c=24.5\n03-24 08:30 A1 harvest volume_l=4",
    ),
    "French": Messy(
        "Date;Heure;Bac;Densité (ind./ml);T° (°C);Récolte (L);Remarques\n24/03/2026;8h30;A1;120,5;24,5;3,5;RAS\n",
        "03-24 08:30 A1 count density_per_ml=120.5 note=RAS\n03-24 08:30 A1 reading temperature_c=24.5\n03-24 08:30 A1 harvest volume_l=3.5",
    ),
    "what was done, from where to where, each with its amount": Messy(
        "Date,Tank,What,How much\n2026-03-24,A1,split to A2,10 L\n2026-03-25,A1,harvest,4 L\n2026-03-26,A2,fed,8 mL\n2026-03-27,A3,restarted from A1,\n",
        "03-24 00:00 A1 split to_vessel=A2 volume_l=10\n03-25 00:00 A1 harvest volume_l=4\n"
        "03-26 00:00 A2 feed feed=paste amount=8 unit=mL\n03-27 00:00 A3 restart from_vessel=A1",
    ),
    "squares of a chamber with what they come to": Messy(
        "Date,Tank,Sq1,Sq2,Sq3,Sq4,Avg,x dilution,per ml\n2026-03-24,A1,10,12,11,9,10.5,10,105\n",
        "03-24 00:00 A1 count tallies=10 12 11 9 dilution=10 note=Avg: 10.5; density as written: 105 per mL",
    ),
    "squares of which nobody says how large they are": Messy(
        "Date,Tank,Rep1,Rep2,Rep3,Mean,SD,Density (ind/mL)\n2026-03-24,A1,12,14,11,12.3,1.5,123\n",
        "03-24 00:00 A1 count density_per_ml=123 note=Mean: 12.3; SD: 1.5; animals counted, of a volume that is not said: 12 14 11",
    ),
    "before and after the harvest": Messy(
        "Date,Tank,Density before,Harvest (L),Density after\n2026-03-24,A1,120,6,84\n",
        "03-24 00:00 A1 count density_per_ml=120 note=Density after: 84\n03-24 00:00 A1 harvest volume_l=6",
        {"column Density after": "note"},
    ),
    "eggs in per cent of those looked at": Messy(
        "Date,Tank,Density,% with eggs,N checked\n2026-03-24,A1,120,25,40\n",
        "03-24 00:00 A1 count density_per_ml=120 with_eggs=10 females_checked=40",
    ),
    "hours without a colon, the clock of a feed, cells of algae": Messy(
        "Date,Time,Tank,/ml,Fed at,Fed ml,Algae (cells/mL)\n3-24-26,815am,A1,120,8:00,6,250000\n3-25-26,6pm,A1,130,,,\n",
        "03-24 08:15 A1 count density_per_ml=120 note=Fed at: 8:00; Algae (cells/mL): 250000\n"
        "03-24 08:15 A1 feed feed=paste amount=6 unit=mL\n03-25 18:00 A1 count density_per_ml=130",
    ),
    "the aliquot in the name of the column": Messy(
        'Date,Tank,Rotifers in 0.1 ml\n2026-03-24,A1,"12, 14"\n2026-03-25,A1,13\n',
        "03-24 00:00 A1 count tallies=12 14 aliquot_ml=0.1\n03-25 00:00 A1 count tallies=13 aliquot_ml=0.1",
    ),
    "animals per gallon": Messy(
        "Date,Tank,Rotifers/gal\n2026-03-24,A1,450000\n", "03-24 00:00 A1 count density_per_ml=118.877"
    ),
    "a unit of its own in every cell, fractions among them": Messy(
        "Date,Tank,Harvest,Temp\n2026-03-24,A1,4 L,76F\n2026-03-25,A1,500 ml,24.5 C\n2026-03-26,A1,1½ gal,\n2026-03-27,A1,1 1/2 gal,\n2026-03-28,A1,.5 gal,\n",
        "03-24 00:00 A1 harvest volume_l=4\n03-24 00:00 A1 reading temperature_c=24.4444\n03-25 00:00 A1 harvest volume_l=0.5\n"
        "03-25 00:00 A1 reading temperature_c=24.5\n03-26 00:00 A1 harvest volume_l=5.67812\n03-27 00:00 A1 harvest volume_l=5.67812\n"
        "03-28 00:00 A1 harvest volume_l=1.89271",
    ),
    "the day's lowest and highest temperature": Messy(
        "Date,Tank,Temp min,Temp max,Density\n2026-03-24,A1,23,26,120\n2026-03-25,A1,23.5,26,120\n",
        "03-24 00:00 A1 count density_per_ml=120 note=Temp min: 23; Temp max: 26\n03-25 00:00 A1 count density_per_ml=120 note=Temp min: 23.5; Temp max: 26",
        {"column Temp min": "note", "column Temp max": "note"},
    ),
    "signs in words": Messy(
        "Date,Tank,Density,Swimming,Ciliates,Colour\n2026-03-24,A1,120,good,a few,light green\n",
        "03-24 00:00 A1 count density_per_ml=120 ciliates=some note=Swimming: good; Colour: light green",
    ),
    "when each was cleaned, not when it was counted": Messy(
        "Tank,Last cleaned,Started,Density\nA1,2026-03-24,2026-01-05,120\nA2,2026-03-22,2026-01-05,90\n",
        "03-24 00:00 A1 note text=Started: 2026-01-05\n03-22 00:00 A2 note text=Started: 2026-01-05",
        {"column Last cleaned": "date", "column Density": "left out"},
    ),
}
