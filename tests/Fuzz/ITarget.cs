namespace RenderGraph.Fuzz;

/// <summary>Something that takes files from anywhere.</summary>
internal interface ITarget
{
    /// <summary>What it is called on the command line.</summary>
    string Name { get; }

    /// <summary>Right files, to be made wrong.</summary>
    IReadOnlyList<byte[]> Corpus { get; }

    /// <summary>Their names.</summary>
    IReadOnlyList<string> Names { get; }

    /// <summary>Whether they are text.</summary>
    bool IsText { get; }

    /// <summary>Gives it a mutant.</summary>
    /// <param name="index">Of the file it was made from.</param>
    /// <param name="isOnlyCut">The end is missing, and nothing else.</param>
    /// <returns>What came of it.</returns>
    /// <exception cref="BadOutcomeException">It was taken, or refused, in a way that nothing explains.</exception>
    Outcome Run(string folder, byte[] mutant, int index, bool isOnlyCut, Dice dice);
}

/// <summary>What came of an input.</summary>
internal enum Outcome
{
    /// <summary>Refused, with a sentence.</summary>
    Refused,

    /// <summary>Taken with a warning, or up to a fault that was told.</summary>
    Told,

    /// <summary>Taken without a word.</summary>
    Taken,
}

/// <summary>Taken, or refused, in a way that nothing explains.</summary>
internal sealed class BadOutcomeException(string what) : Exception(what);
