using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>One way of storing a sample. Four samples at once and one sample alone give the same bits.</summary>
internal interface IStoredSample
{
    /// <summary>Bytes a sample takes in the file.</summary>
    static abstract int Bytes { get; }

    /// <summary>What <see cref="Load"/> gives at full scale: a power of two.</summary>
    static abstract double FullScale { get; }

    /// <summary>One sample, an integer moved to the top of 32 bits.</summary>
    static abstract double Load(ref byte from);

    /// <summary>Four samples, not yet widened. Reads up to 16 bytes, more than the four need: the buffer goes on for <see cref="SampleDecoder.SlackBytes"/>.</summary>
    static abstract Vector128<int> LoadFour(ref byte from);

    /// <summary>What <see cref="LoadFour"/> gave, in any order, as <see cref="Load"/> gives it.</summary>
    static abstract Vector256<double> Widen(Vector128<int> four);
}

/// <summary>A way of storing integers that is also written.</summary>
internal interface IWrittenSample
{
    /// <summary>Bytes a sample takes in the file.</summary>
    static abstract int Bytes { get; }

    /// <summary>The lowest bits of one number.</summary>
    static abstract void Store(ref byte to, int value);

    /// <summary>The lowest bits of four numbers. Writes 16 bytes at most, what follows the four is rubbish: write in ascending order and leave slack.</summary>
    static abstract void StoreFour(ref byte to, Vector128<int> four);
}
