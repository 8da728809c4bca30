namespace RenderGraph.Graph.Contracts;

/// <summary>What a file says about who made its sound, when and how, in the form that its kind has for it: passed on, never read here.</summary>
public sealed record OriginNote(ReadOnlyMemory<byte> Bytes);
