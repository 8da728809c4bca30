namespace RenderGraph.Nodes.Dsp;

/// <summary>Holds one plane back by whole frames; silence comes out first. Holds <paramref name="delayFrames"/> samples.</summary>
/// <param name="delayFrames">0 or more.</param>
public sealed class DelayLine(int delayFrames)
{
    private readonly double[] _held = new double[delayFrames];
    private int _oldest;

    /// <summary>Takes the next frames in and gives as many out.</summary>
    /// <param name="output">As long as the input, and not the input.</param>
    public void Process(ReadOnlySpan<double> input, Span<double> output)
    {
        if (_held.Length == 0)
        {
            input.CopyTo(output);
            return;
        }

        while (input.Length > 0)
        {
            var ring = _held.AsSpan(_oldest);
            var count = Math.Min(ring.Length, input.Length);
            ring[..count].CopyTo(output);
            input[..count].CopyTo(ring);
            input = input[count..];
            output = output[count..];
            _oldest = (_oldest + count) % _held.Length;
        }
    }
}
