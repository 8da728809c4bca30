namespace RenderGraph.Graph.Contracts;

/// <summary>
/// A node that must have heard one of its inputs to the end before it can process: say, to find how loud the key's hits are.
/// In a pass of its own the engine calls <see cref="INode.Prepare"/>, brings that input's blocks through <see cref="IListener.Listen"/>, in order and
/// without a gap, over the whole song even when only a part is rendered, and then <see cref="Settle"/>. For the render it calls
/// <see cref="INode.Prepare"/> again and <see cref="Recall"/>. <see cref="IListener.Listen"/> keeps the rules of <see cref="INode.Process"/>.
/// </summary>
public interface IListeningNode : INode, IListener
{
    /// <summary>Whether there is anything to find; false spares the pass, and <see cref="Recall"/> is not called.</summary>
    bool MustListen { get; }

    /// <summary>Which input it listens to, as an index into <see cref="Block.Inputs"/>.</summary>
    int ListenInput { get; }

    /// <summary>Listeners of equal kinds that are to hear one signal can hear it together. Null: it hears for itself.</summary>
    string? ListenKind => null;

    /// <summary>
    /// Makes what hears in the stead of these listeners of one kind, itself among them. They have been prepared. Each is still asked to
    /// <see cref="Settle"/>, and draws the conclusion that it would have drawn alone.
    /// </summary>
    IListener HearTogether(IReadOnlyList<IListeningNode> listeners) => throw new NotSupportedException("Has no kind.");

    /// <summary>Draws the conclusion: one finite number, rounded to a stated step, that steers the render.</summary>
    double Settle();

    /// <summary>Takes a conclusion drawn before. Called between <see cref="INode.Prepare"/> and the first block.</summary>
    void Recall(double settled);
}

/// <summary>Hears a signal before the render: a node, or what hears for several.</summary>
public interface IListener
{
    /// <summary>Hears the next block.</summary>
    /// <param name="songFrame">The first frame's place in the song, negative before the song begins.</param>
    void Listen(long songFrame, Signal heard);
}
