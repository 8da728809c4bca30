namespace RenderGraph.Graph.Contracts;

/// <summary>
/// A node that must have heard one of its inputs to the end before it can process: say, to find how loud the key's hits are.
/// After <see cref="INode.Prepare"/> the engine brings that input's blocks through <see cref="Listen"/>, in order and without a gap, over the
/// whole song even when only a part is rendered, then calls <see cref="Settle"/>, then processes. <see cref="Listen"/> keeps the rules of <see cref="INode.Process"/>.
/// </summary>
public interface IListeningNode : INode
{
    /// <summary>Whether there is anything to find; false spares the pass.</summary>
    bool MustListen { get; }

    /// <summary>Which input it listens to, as an index into <see cref="Block.Inputs"/>.</summary>
    int ListenInput { get; }

    /// <summary>Hears the next block of that input.</summary>
    void Listen(long startFrame, Signal heard);

    /// <summary>Draws the conclusion.</summary>
    void Settle();
}
