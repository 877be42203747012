import { Component, type ComponentChildren } from 'preact';

interface GuardedProps {
  readonly children: ComponentChildren;
}

/** Keeps a mistake in one screen from taking the others with it: what was entered is safe, and the way out is there. */
export class Guarded extends Component<GuardedProps, { readonly failed: string | null }> {
  override state = { failed: null };

  static override getDerivedStateFromError(error: unknown) {
    return { failed: error instanceof Error ? error.message : String(error) };
  }

  override componentDidCatch(error: unknown): void {
    // told to whoever looks at the console; the page itself goes on
    reportError(error);
  }

  override render() {
    const { failed } = this.state;
    if (failed === null) return this.props.children;
    return (
      <div class="empty" role="alert">
        <h2>This screen has run into a mistake of its own</h2>
        <p>What you entered is kept. The other screens go on; opening this page anew may help. ({failed})</p>
        <button type="button" class="act" onClick={() => location.reload()}>
          Open the page anew
        </button>
      </div>
    );
  }
}
