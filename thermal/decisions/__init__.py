"""The questions a grower asks, each answered by marches over the winters."""
