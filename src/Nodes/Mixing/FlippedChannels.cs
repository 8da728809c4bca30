namespace RenderGraph.Nodes.Mixing;

/// <summary>Which side of a stereo signal is flipped. A mono signal is flipped whichever is asked for.</summary>
public enum FlippedChannels
{
    /// <summary>Left and right.</summary>
    Both,

    /// <summary>Left only.</summary>
    Left,

    /// <summary>Right only.</summary>
    Right,
}
