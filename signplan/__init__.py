"""Plans carved double-sided signs, from artwork and steel to the printed traveller."""
