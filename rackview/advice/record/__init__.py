"""Looking back: what vessels gave, how rules did, what came before a loss, what a number rests on."""
