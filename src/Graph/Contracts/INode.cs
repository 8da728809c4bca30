namespace RenderGraph.Graph.Contracts;

/// <summary>
/// One node at work. The rules, all of which <c>NodeContractTests</c> checks for every type in the catalog:
/// <list type="bullet">
/// <item><see cref="Prepare"/> allocates all that is ever needed and sets every state to its start; a second call leaves no residue.</item>
/// <item><see cref="Process"/> then comes for one block after another without a gap, from frame 0. It allocates nothing.</item>
/// <item>The result does not depend on how the frames are cut into blocks: not by one bit. What is computed less often than once a frame
/// hangs on <see cref="Block.StartFrame"/>, not on the block.</item>
/// <item>Finite in gives finite out. A state that dies away is set to zero before it becomes denormal.</item>
/// <item>Nothing that differs between machines reaches the result: only <c>+ - * /</c>, square root, comparison, rounding and our own mathematics,
/// in a fixed order.</item>
/// <item>The output's frame n is the answer to the input's frame n - <see cref="LatencyFrames"/>, and to the key's frame n - <see cref="LatencyFrames"/> - <see cref="KeyLeadFrames"/>.</item>
/// <item>One node is only ever run by one thread at a time, but not always by the same.</item>
/// </list>
/// </summary>
public interface INode
{
    /// <summary>How many frames the output lies behind the input. A pure function of the parameters and the rate; asked before <see cref="Prepare"/>.</summary>
    int LatencyFrames(int sampleRateHz);

    /// <summary>
    /// How many frames earlier than its other inputs a node must be given its key, so that it can act before the key sounds. As pure as <see cref="LatencyFrames"/>.
    /// The engine sees to it: it reads the stems behind the other inputs so much later, which costs nothing.
    /// </summary>
    int KeyLeadFrames(int sampleRateHz) => 0;

    /// <summary>Makes ready for a render from its start.</summary>
    void Prepare(NodeFormat format);

    /// <summary>Renders the next block.</summary>
    void Process(in Block block);

    /// <summary>
    /// Whether silence in would now give silence out and leave everything as it is, so that a block of it need not be worked on. The engine then spares the call;
    /// but for the signs of zeros, not a bit may differ. No is always allowed.
    /// </summary>
    bool IsAtRest => false;
}
