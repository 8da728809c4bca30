namespace RenderGraph.Graph.Binding;

/// <summary>A part of a recipe that a song goes without.</summary>
/// <param name="Part">What it is: <c>node "subRoom"</c>.</param>
/// <param name="Why">The reason.</param>
public sealed record DroppedPart(string Part, string Why)
{
    /// <summary><c>node "subRoom": it takes from "sub", which is not there</c>.</summary>
    public override string ToString() => $"{Part}: {Why}";
}
