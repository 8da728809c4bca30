namespace RenderGraph.Graph.Document;

/// <summary>Why a text is not JSON.</summary>
/// <param name="Offset">The byte to point at.</param>
internal readonly record struct SyntaxFinding(int Offset, string Sentence, string Remedy);
