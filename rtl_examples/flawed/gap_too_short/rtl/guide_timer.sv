// Guide camera timer, minutes and seconds, common-anode digits behind active-low selects.
// Outputs are registered, and between two digits all stay off for GAP clocks, so that no digit
// ghosts into the next.
module guide_timer #(
    parameter int CLK_HZ = 12_000_000,
    parameter int DWELL  = 12_000,
    parameter int GAP    = 24
) (
    input  logic       clk,
    input  logic       rst,       // synchronous, active high
    output logic [6:0] seg_n,     // {g .. a}
    output logic [3:0] digit_n
);
    logic [23:0] clocks;
    logic [15:0] dwell;
    logic [1:0]  position;
    logic [5:0]  seconds, minutes;
    logic [3:0]  shown;

    wire second = clocks == 24'(CLK_HZ - 1);
    wire last   = dwell == 16'(DWELL - 1);

    always_ff @(posedge clk)
        if (rst) begin
            clocks  <= '0;
            seconds <= '0;
            minutes <= '0;
        end else begin
            clocks <= second ? '0 : clocks + 1'b1;
            if (second) begin
                seconds <= seconds == 6'd59 ? '0 : seconds + 1'b1;
                if (seconds == 6'd59) minutes <= minutes == 6'd59 ? '0 : minutes + 1'b1;
            end
        end

    always_ff @(posedge clk)
        if (rst) begin
            dwell    <= '0;
            position <= '0;
        end else begin
            dwell <= last ? '0 : dwell + 1'b1;
            if (last) position <= position + 1'b1;
        end

    always_comb
        case (position)
            2'd0:    shown = 4'(seconds % 6'd10);
            2'd1:    shown = 4'(seconds / 6'd10);
            2'd2:    shown = 4'(minutes % 6'd10);
            default: shown = 4'(minutes / 6'd10);
        endcase

    always_ff @(posedge clk)
        if (rst || dwell < 16'(GAP - 1)) begin
            digit_n <= '1;
            seg_n   <= '1;
        end else begin
            digit_n <= ~(4'b0001 << position);
            case (shown)
                4'd0:    seg_n <= 7'b1000000;
                4'd1:    seg_n <= 7'b1111001;
                4'd2:    seg_n <= 7'b0100100;
                4'd3:    seg_n <= 7'b0110000;
                4'd4:    seg_n <= 7'b0011001;
                4'd5:    seg_n <= 7'b0010010;
                4'd6:    seg_n <= 7'b0000010;
                4'd7:    seg_n <= 7'b1111000;
                4'd8:    seg_n <= 7'b0000000;
                4'd9:    seg_n <= 7'b0010000;
                default: seg_n <= 7'b1111111;
            endcase
        end
endmodule
