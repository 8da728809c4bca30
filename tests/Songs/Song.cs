using RenderGraph.Graph.Contracts;

namespace RenderGraph.Songs;

/// <summary>A song of our own invention, played.</summary>
/// <param name="Number">From 1.</param>
internal sealed record Song(int Number, string Title, int TempoBpm, int SampleRateHz, IReadOnlyList<Part> Parts);

/// <summary>A part of a song.</summary>
/// <param name="Name">What it is called in the session, before whoever exports it adds numbers and the like: "Kick In".</param>
/// <param name="IsAnchor">Whether it owns the low end.</param>
internal sealed record Part(string Name, Signal Sound, bool IsAnchor = false);
