namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// The largest of the last so many numbers. Keeps only those that may still become the largest, in falling order (the ascending minima
/// algorithm of R. Harter, upside down), so a number costs the same on average whatever the length.
/// </summary>
/// <param name="length">How many numbers count, at least 1.</param>
public sealed class SlidingMaximum(int length)
{
    private readonly double[] _values = new double[length];
    private readonly long[] _times = new long[length];
    private int _first, _count;
    private long _now;

    /// <summary>Takes the next number and gives the largest of the last <c>length</c>; before there are so many, of those there are.</summary>
    public double Next(double value)
    {
        if (_count > 0 && _times[_first] == _now - length)
        {
            _first = Wrapped(_first + 1);
            _count--;
        }

        while (_count > 0 && _values[Wrapped(_first + _count - 1)] <= value)
            _count--;

        var slot = Wrapped(_first + _count++);
        (_values[slot], _times[slot]) = (value, _now++);
        return _values[_first];
    }

    private int Wrapped(int index) => index < length ? index : index - length;
}
