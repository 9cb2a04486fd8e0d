"""What fits: arrangements of racks and tanks in a room, searched for by a wish and judged like any plan."""
