namespace RenderGraph.Graph.Contracts;

/// <summary>A marker in an output.</summary>
/// <param name="Frame">Of the song.</param>
/// <param name="Label">What an editor shows beside it.</param>
public readonly record struct Cue(long Frame, string Label);
