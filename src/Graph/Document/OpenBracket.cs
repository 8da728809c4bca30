namespace RenderGraph.Graph.Document;

/// <summary>An object or list that has begun and not ended.</summary>
/// <param name="IsObject">An object, not a list.</param>
/// <param name="Offset">The byte where it begins.</param>
internal readonly record struct OpenBracket(bool IsObject, int Offset)
{
    /// <summary>How it begins.</summary>
    public char Begin => IsObject ? '{' : '[';

    /// <summary>How it must end.</summary>
    public char End => IsObject ? '}' : ']';
}
