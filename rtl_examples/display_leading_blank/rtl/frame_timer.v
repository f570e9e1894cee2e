// Minutes and seconds of one frame on four digits; leading zeros stay dark, the last digit
// never does. Clear and run are synchronous.
module frame_timer #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire       clk,
    input  wire       reset_n,    // synchronous, active low
    input  wire       clear,
    input  wire       run,
    output wire [6:0] digit3, digit2, digit1, digit0
);
    reg [23:0] clocks;
    reg [3:0]  m1, m0, s1, s0;

    always @(posedge clk)
        if (!reset_n || clear) begin
            clocks <= 0;
            {m1, m0, s1, s0} <= 16'h0000;
        end else if (run) begin
            if (clocks < CLK_HZ - 1)
                clocks <= clocks + 1;
            else begin
                clocks <= 0;
                if (s0 != 9) s0 <= s0 + 1;
                else begin
                    s0 <= 0;
                    if (s1 != 5) s1 <= s1 + 1;
                    else begin
                        s1 <= 0;
                        if (m0 != 9) m0 <= m0 + 1;
                        else begin
                            m0 <= 0;
                            m1 <= (m1 == 9) ? 0 : m1 + 1;
                        end
                    end
                end
            end
        end

    wire dark3, dark2, dark1;

    blanking_decoder u3 (.digit(m1), .dark_left(1'b1),  .dark(dark3), .segments(digit3));
    blanking_decoder u2 (.digit(m0), .dark_left(dark3), .dark(dark2), .segments(digit2));
    blanking_decoder u1 (.digit(s1), .dark_left(dark2), .dark(dark1), .segments(digit1));
    blanking_decoder u0 (.digit(s0), .dark_left(1'b0),  .dark(),      .segments(digit0));
endmodule
