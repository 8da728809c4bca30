using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Its signal times the loudest sample of its whole key, which it must have heard before. Counts the frames that it heard.</summary>
internal sealed class ListenerNode(string? kind = null) : IListeningNode, IFigureSource
{
    private ListenerNode? _hearsFor;
    private double _heard;
    private double _recalled = double.NaN;
    private long? _nextFrame;

    public static NodeType Type { get; } =
        NodeType.Define("listener", 1, "Signal times loudest of key.", [Port.Input, Port.Key], _ => 0, _ => new ListenerNode());

    /// <summary>The same, but one that hears a key hears it for all.</summary>
    public static NodeType SharingType { get; } =
        NodeType.Define("listenerSharing", 1, "Signal times loudest of key.", [Port.Input, Port.Key], _ => 0, _ => new ListenerNode("loudest"));

    public bool MustListen => true;

    public int ListenInput => 1;

    public string? ListenKind => kind;

    /// <summary>In the last pass before a render; -1 after a block that did not follow on the one before.</summary>
    public long FramesHeard { get; private set; }

    public IReadOnlyList<Figure> Figures => [new("loudest", _recalled)];

    public int LatencyFrames(int sampleRateHz) => 0;

    public bool IsAtRest => true;

    public void Prepare(NodeFormat format) => (_heard, _recalled, _nextFrame, _hearsFor) = (0, double.NaN, null, null);

    public void Listen(long songFrame, Signal heard)
    {
        FramesHeard = _nextFrame is null ? heard.Frames : songFrame == _nextFrame && FramesHeard >= 0 ? FramesHeard + heard.Frames : -1;
        _nextFrame = songFrame + heard.Frames;
        for (var channel = 0; channel < heard.Channels; channel++)
        {
            foreach (var sample in heard[channel])
                _heard = Math.Max(_heard, Math.Abs(sample));
        }
    }

    public double Settle() => (_hearsFor ?? this)._heard;

    public IListener HearTogether(IReadOnlyList<IListeningNode> listeners)
    {
        foreach (var listener in listeners.Skip(1))
            ((ListenerNode)listener)._hearsFor = this;
        return this;
    }

    public void Recall(double settled) => _recalled = settled;

    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            for (var frame = 0; frame < block.Frames; frame++)
                block.Output[channel][frame] = block.Input[channel][frame] * _recalled;
        }
    }
}
