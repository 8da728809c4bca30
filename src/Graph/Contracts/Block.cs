namespace RenderGraph.Graph.Contracts;

/// <summary>One call's worth of work for a node.</summary>
/// <param name="startFrame">The first frame's place in the render, counted from 0. Its place in the song, on which a control grid hangs, is that less <see cref="InputFormat.LatencyFrames"/>.</param>
/// <param name="inputs">One signal for each input, in the order of the node type's ports; a port that takes many comes last.</param>
/// <param name="output">Where the result goes.</param>
public readonly ref struct Block(long startFrame, ReadOnlySpan<Signal> inputs, Signal output)
{
    /// <summary>The first frame's place in the render, counted from 0.</summary>
    public long StartFrame { get; } = startFrame;

    /// <summary>All inputs, each as long as the output. They are read, never written.</summary>
    public ReadOnlySpan<Signal> Inputs { get; } = inputs;

    /// <summary>
    /// Where the result goes: every frame of every channel is written. Holds leftovers before, and is not marked silent; never shares memory with an input.
    /// </summary>
    public Signal Output { get; } = output;

    /// <summary>Frames in this block.</summary>
    public int Frames => Output.Frames;

    /// <summary>The first input: the signal a node treats.</summary>
    public Signal Input => Inputs[0];
}
